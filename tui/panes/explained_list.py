"""The list of figures that can be explained: name, value, where it stands; only the rows in sight are drawn."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.message import Message

from tui.canvas.cells import fitted
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, Row, put_row
from tui.canvas.widget import CanvasPane
from tui.explained import Standing

VALUE_FROM, PANE_FROM = 30, 64
"""Widths of the list from which it has room for the value, and for the name of the pane."""
NOTHING = "None matches: change the letters, or delete them."


class ExplainedList(CanvasPane):
    """One figure a row, one of them chosen."""

    caption = "On this page"

    class Chosen(Message):
        """A click has moved the cursor."""

    def __init__(self) -> None:
        super().__init__(id="explained-list")
        self._shown: Sequence[Standing] = ()
        self._cursor = 0
        self._top = 0

    @property
    def chosen(self) -> Standing | None:
        """The one under the cursor."""
        return self._shown[self._cursor] if self._cursor < len(self._shown) else None

    def show(self, shown: Sequence[Standing], aside: str) -> None:
        """Show these; the cursor stays on its figure if that is still there."""
        before = self.chosen
        keys = [one.explanation.key for one in shown]
        self._shown = shown
        if before is not None and before.explanation.key in keys:
            self._cursor = keys.index(before.explanation.key)
        self._cursor = max(0, min(self._cursor, len(shown) - 1))
        self.aside = Span(aside, Ink.MUTED)
        self.repaint()

    def move(self, by: int) -> None:
        """The cursor so many rows down; stops at both ends."""
        self._cursor = max(0, min(self._cursor + by, len(self._shown) - 1))
        self.repaint()

    def page(self) -> int:
        """Rows in sight."""
        return max(1, self.content_size.height - 1)

    def paint(self, grid: Grid) -> None:
        """The rows around the cursor."""
        if not self._shown:
            put_row(grid, 0, (Span(NOTHING, Ink.MUTED),))
            return
        self._top = max(min(self._top, self._cursor, len(self._shown) - grid.height), self._cursor - grid.height + 1, 0)
        for y, one in enumerate(self._shown[self._top : self._top + grid.height]):
            chosen = self._top + y == self._cursor
            if chosen:
                grid.paper(0, y, grid.width, Paper.SELECTED)
            put_row(grid, y, _row(one, grid.width, chosen=chosen), margin=0)

    def on_click(self, event: events.Click) -> None:
        """A click chooses."""
        number = self._top + event.y - 1
        if 0 <= number < len(self._shown):
            self._cursor = number
            self.repaint()
            self.post_message(self.Chosen())

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves the cursor."""
        self.move(1)
        self.post_message(self.Chosen())

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves the cursor."""
        self.move(-1)
        self.post_message(self.Chosen())


def _row(one: Standing, width: int, *, chosen: bool) -> Row:
    """The name whole, the value as far as there is room; what is not shown now is said to be so by its grey."""
    ink = Ink.TEXT if one.is_shown else Ink.STALE
    name = fitted(f"{'>' if chosen else ' '} {one.explanation.title}", width - 1)
    room = width - len(name) - 3 - (12 if width >= PANE_FROM else 0)
    value = fitted(one.value, room) if width >= VALUE_FROM and room >= 4 else ""
    pane = (Span(f" {fitted(one.pane, 10):>10}", Ink.MUTED),) if width >= PANE_FROM else ()
    return (Span(name, ink, bold=chosen), PUSH, Span(value, ink if one.is_shown else Ink.MUTED), *pane, Span(" "))
