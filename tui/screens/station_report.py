"""What was understood of every list, and what is doubtful in it: one sheet to scroll."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.canvas.cells import one_cell_each


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
            yield Static("Lists of stations", classes="sheet-title")
            yield Static(Text("\n".join(map(one_cell_each, self._lines))))
            yield Static("Up and Down scroll, Esc goes back.")

    def on_mount(self) -> None:
        """The arrows are the sheet's at once."""
        self.query_one("#station-report").focus()
