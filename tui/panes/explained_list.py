"""The list of figures that can be explained: name, value, where it stands."""

from __future__ import annotations

from collections.abc import Sequence

from tui.canvas.cells import fitted
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row
from tui.explained import Standing
from tui.panes.cursor_list import CursorList

VALUE_FROM, PANE_FROM = 30, 78
"""Widths of the list from which it has room for the value, and for the name of the pane."""
PANE = 12
"""Columns of that name with the gaps around it."""
NOTHING = "None matches: change the letters, or delete them."


class ExplainedList(CursorList[Standing]):
    """One figure a row."""

    caption = "On this page"

    def __init__(self) -> None:
        super().__init__("explained-list", lambda one: one.explanation.key)

    def show(self, shown: Sequence[Standing], aside: str) -> None:
        """Show these."""
        self.aside = Span(aside, Ink.MUTED)
        self.fill(shown, NOTHING)

    def row(self, item: Standing, width: int, *, chosen: bool) -> Row:
        """The name whole, the value as far as there is room; what is not shown now is said to be so by its grey."""
        ink = Ink.TEXT if item.is_shown else Ink.STALE
        name = fitted(f"{'>' if chosen else ' '} {item.explanation.title}", width - 1)
        room = width - len(name) - 3
        has_pane = width >= PANE_FROM and len(item.value) <= room - PANE  # a value goes before the name of its pane
        value = fitted(item.value, room) if width >= VALUE_FROM and room >= 4 else ""
        pane = (Span(f" {fitted(item.pane, PANE - 2):>{PANE - 2}}", Ink.MUTED),) if has_pane else ()
        return (Span(name, ink, bold=chosen), PUSH, Span(value, ink if item.is_shown else Ink.MUTED), *pane, Span(" "))
