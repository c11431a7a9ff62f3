"""The list of waypoints: only the rows in sight are drawn, so that ten thousand cost what twenty do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from textual import events

from core.guidance import guide
from core.waypoints import Waypoint
from tui import wording
from tui.canvas.cells import fitted
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, put_row
from tui.canvas.widget import CanvasPane
from tui.messages import PlaceIntent
from tui.state import BoardState

KIND_WIDTH, TIME_WIDTH = 10, 16
KIND_FROM, TIME_FROM = 50, 74
"""Widths of the list from which it has room for the kind, and for the time."""


class ListView(NamedTuple):
    """What the list shows."""

    shown: Sequence[Waypoint] = ()
    state: BoardState = BoardState()
    empty: str = ""
    """What to say when there is nothing to show."""


class PlaceListPane(CanvasPane):
    """One waypoint a row, one of them chosen."""

    caption = "Waypoints"

    def __init__(self) -> None:
        super().__init__(id="place-list")
        self._view = ListView()
        self._cursor = 0
        self._top = 0

    @property
    def chosen(self) -> Waypoint | None:
        """The one under the cursor."""
        return self._view.shown[self._cursor] if self._cursor < len(self._view.shown) else None

    def show(self, view: ListView, aside: str) -> None:
        """Show this; the cursor stays on its waypoint if that is still there."""
        before = self.chosen
        self._view = view
        if before is not None and before in view.shown:
            self._cursor = view.shown.index(before)
        self._cursor = max(0, min(self._cursor, len(view.shown) - 1))
        self.aside = Span(aside, Ink.MUTED)
        self.repaint()

    def choose(self, waypoint: Waypoint) -> None:
        """Put the cursor there."""
        if waypoint in self._view.shown:
            self._cursor = self._view.shown.index(waypoint)
            self.repaint()

    def move(self, by: int) -> None:
        """The cursor so many rows down; stops at both ends."""
        self._cursor = max(0, min(self._cursor + by, len(self._view.shown) - 1))
        self.repaint()

    def page(self) -> int:
        """Rows in sight."""
        return max(1, self.content_size.height - 1)

    def paint(self, grid: Grid) -> None:
        """The rows around the cursor."""
        if not self._view.shown:
            put_row(grid, 0, (Span(self._view.empty, Ink.MUTED),))
            return
        self._top = max(min(self._top, self._cursor), self._cursor - grid.height + 1, 0)
        for y, waypoint in enumerate(self._view.shown[self._top : self._top + grid.height]):
            chosen = self._top + y == self._cursor
            if chosen:
                grid.paper(0, y, grid.width, Paper.SELECTED)
            put_row(grid, y, _row(waypoint, self._view.state, grid.width, chosen=chosen), margin=0)

    def on_click(self, event: events.Click) -> None:
        """One click chooses, the second goes there."""
        number = self._top + event.y - 1
        if not 0 <= number < len(self._view.shown):
            return
        again = number == self._cursor and event.chain > 1
        self._cursor = number
        self.repaint()
        if again and self.chosen is not None:
            self.post_message(PlaceIntent("go", self.chosen))

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves the cursor."""
        self.move(1)

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves the cursor."""
        self.move(-1)


def _row(waypoint: Waypoint, state: BoardState, width: int, *, chosen: bool) -> tuple[Span, ...]:
    right = [Span(_way(waypoint, state), Ink.TEXT)]
    if width >= TIME_FROM:
        right.append(Span(f"{_when(waypoint):>{TIME_WIDTH + 2}}", Ink.MUTED))
    middle = f"  {fitted(waypoint.kind, KIND_WIDTH):<{KIND_WIDTH}}" if width >= KIND_FROM else ""
    room = width - sum(len(span.text) for span in right) - len(middle) - 4
    name = fitted(waypoint.name or "(no name)", room)
    is_target = state.target == waypoint or waypoint in state.then
    left = Span(f"{'>' if chosen else ' '} {name:<{room}}", Ink.TARGET if is_target else Ink.TEXT, bold=chosen)
    return (left, Span(middle, Ink.MUTED), PUSH, *right)


def _way(waypoint: Waypoint, state: BoardState) -> str:
    """Distance and bearing in columns, blank without a position."""
    here = state.position
    if here is None:
        return ""
    found = guide(here, waypoint.position, None)
    bearing = "" if found.bearing_deg is None else state.bearing(found.bearing_deg)
    return f"{wording.distance(found.distance_m):>9} {bearing:>14} "


def _when(waypoint: Waypoint) -> str:
    return f"{waypoint.time:%Y-%m-%d %H:%M}" if waypoint.time else ""
