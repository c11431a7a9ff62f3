"""What everybody has to have read once who goes by what a board says."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.commands import CAUTIONS

TITLE = "Before you go by this board: Enter or Esc closes"
END = "Shown once; F1 always has it, with keys, words and guides."


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
            for caution in CAUTIONS:
                yield Static(f"- {caution}", classes="notice-line", markup=False)
            yield Static(f"\n{END}", markup=False)
