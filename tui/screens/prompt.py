"""One line to type."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from tui.canvas.cells import one_cell_each


class PromptScreen(ModalScreen[str | None]):
    """Dismissed with what was typed, None when the user goes back or types nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]

    def __init__(self, title: str, placeholder: str, value: str = "") -> None:
        """`title`: the question; `value`: what was typed before and not understood, to be put right."""
        super().__init__()
        self._title = title
        self._placeholder = placeholder
        self._value = value

    def compose(self) -> ComposeResult:
        """Question, line, keys."""
        with Vertical(classes="sheet"):
            yield Static(one_cell_each(self._title), classes="sheet-title", markup=False)
            yield Input(self._value, self._placeholder, id="typed", select_on_focus=False)
            yield Static("Enter goes on, Esc goes back.", markup=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter."""
        event.stop()
        self.dismiss(event.value.strip() or None)
