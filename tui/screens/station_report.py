"""What was understood of every list, and what is doubtful in it: one sheet to scroll."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.canvas.cells import one_cell_each
from tui.screens.hanging import FRAME, hanging

WIDEST = 110
"""Columns of the sheet (screens.tcss)."""
MOVED_IN = 2
"""What goes on below begins so far to the right of its beginning."""


class StationReportScreen(ModalScreen[None]):
    """Closed by Esc."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,enter,f5", "dismiss(None)", "Back")]

    def __init__(self, lines: Sequence[str]) -> None:
        """`lines`: of any text."""
        super().__init__()
        self._lines = lines

    def compose(self) -> ComposeResult:
        """The sheet, scrolled with the arrow keys."""
        with VerticalScroll(classes="sheet", id="station-report"):
            yield Static("Lists of stations (Up and Down scroll, Esc goes back)", classes="sheet-title")
            yield Static(id="station-report-lines")

    def on_mount(self) -> None:
        """The arrows are the sheet's at once."""
        self._write(self.app.size.width)
        self.query_one("#station-report").focus()

    def on_resize(self, event: events.Resize) -> None:
        """Other widths break lines elsewhere."""
        self._write(event.size.width)

    def _write(self, width: int) -> None:
        room = min(width, WIDEST) - FRAME
        rows = "\n".join(_wrapped(one_cell_each(line), room) for line in self._lines)
        self.query_one("#station-report-lines", Static).update(Text(rows))


def _wrapped(line: str, room: int) -> str:
    begins = len(line) - len(line.lstrip())
    return hanging(line, room, begins + MOVED_IN)
