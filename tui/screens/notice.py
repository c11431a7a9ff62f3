"""What everybody has to have read once who goes by what a board says."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.commands import CAUTIONS
from tui.own_keys import with_keys
from tui.screens.hanging import hanging, room_in_sheet

TITLE = "Before you go by this board: Enter or Esc closes"
END = "Shown once; {help} always has it, with keys, words and guides."


class NoticeScreen(ModalScreen[None]):
    """Over the board, which goes on beneath it: reading, recording and feeding wait for nobody."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,escape", "dismiss(None)", "On", show=True),
        Binding("q", "app.quit", "Quit", show=True),
    ]

    def compose(self) -> ComposeResult:
        """How to close it stands first: on a small screen the end is below."""
        with VerticalScroll(classes="sheet"):
            yield Static(TITLE, classes="sheet-title", markup=False)
            yield Static(id="cautions", markup=False)
            yield Static(f"\n{with_keys(END)}", markup=False)

    def on_resize(self, event: events.Resize) -> None:
        """Wrap them anew, each under its dash; also when they are first shown."""
        width = room_in_sheet(event.size.width)
        lines = "\n".join(hanging(f"- {caution}", width, 2) for caution in CAUTIONS)
        self.query_one("#cautions", Static).update(lines)
