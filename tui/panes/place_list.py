"""The list of waypoints: only the rows in sight are drawn, so that ten thousand cost what twenty do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from core.guidance import guide
from core.waypoint import Waypoint
from tui import wording
from tui.canvas.cells import fitted
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row
from tui.panes.cursor_list import CursorList
from tui.state import BoardState

KIND_WIDTH, TIME_WIDTH = 10, 16
BEARING_FROM, KIND_FROM, TIME_FROM = 40, 58, 74
"""Widths of the list from which it has room for the kind, and for the time: the name of a mark (17) stays whole."""


class ListView(NamedTuple):
    """What the list shows."""

    shown: Sequence[Waypoint] = ()
    state: BoardState = BoardState()
    empty: str = ""
    """What to say when there is nothing to show."""


class PlaceListPane(CursorList[Waypoint]):
    """One waypoint a row."""

    caption = "Waypoints"
    heads = 1

    def __init__(self) -> None:
        super().__init__("place-list", lambda waypoint: waypoint)
        self._view = ListView()

    def show(self, view: ListView, aside: str) -> None:
        """Show this."""
        self._view = view
        self.aside = Span(aside, Ink.MUTED)
        self.fill(view.shown, view.empty)

    def head(self, width: int) -> Row:
        """What the columns are, by which north and by which clock."""
        return _head(self._view.state, width)

    def row(self, item: Waypoint, width: int, *, chosen: bool) -> Row:
        """Name, kind, way, time, as far as there is room."""
        return _row(item, self._view.state, width, chosen=chosen)


def _row(waypoint: Waypoint, state: BoardState, width: int, *, chosen: bool) -> tuple[Span, ...]:
    right = [Span(_way(waypoint, state, has_bearing=width >= BEARING_FROM), Ink.TEXT)]
    if width >= TIME_FROM:
        right.append(Span(f"{_when(waypoint):>{TIME_WIDTH + 1}} ", Ink.MUTED))
    middle = f"  {fitted(waypoint.kind, KIND_WIDTH):<{KIND_WIDTH}}" if width >= KIND_FROM else ""
    room = max(0, width - sum(len(span.text) for span in right) - len(middle) - 4)
    name = fitted(waypoint.name or "(no name)", room)
    is_target = state.target == waypoint or waypoint in state.then
    left = Span(f"{'>' if chosen else ' '} {name:<{room}}", Ink.TARGET if is_target else Ink.TEXT, bold=chosen)
    return (left, Span(middle, Ink.MUTED), PUSH, *right)


def _head(state: BoardState, width: int) -> Row:
    way = "" if state.position is None else f"{'distance':>9} "
    if way and width >= BEARING_FROM:
        way += f"{'bearing':>14} "
    when = f"{'marked, UTC':>{TIME_WIDTH + 1}} " if width >= TIME_FROM else ""
    kind = f"  {'kind':<{KIND_WIDTH}}" if width >= KIND_FROM else ""
    room = max(0, width - len(way) - len(when) - len(kind) - 4)
    return (Span(f"  {'name':<{room}}{kind}", Ink.MUTED), PUSH, Span(f"{way}{when}", Ink.MUTED))


def _way(waypoint: Waypoint, state: BoardState, *, has_bearing: bool) -> str:
    """Distance, and bearing where it has one, in columns, blank without a position."""
    here = state.position
    if here is None:
        return ""
    found = guide(here, waypoint.position, None)
    if not has_bearing:
        return f"{wording.distance(found.distance_m):>9} "
    bearing = "" if found.bearing_deg is None else state.bearing(found.bearing_deg)
    return f"{wording.distance(found.distance_m):>9} {bearing:>14} "


def _when(waypoint: Waypoint) -> str:
    return f"{waypoint.time:%Y-%m-%d %H:%M}" if waypoint.time else ""
