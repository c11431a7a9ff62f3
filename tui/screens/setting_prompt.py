"""A setting typed: the line stays until what is in it is right, with what is wanted below it."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from tui.canvas.cells import one_cell_each
from tui.setting_rows import Setting, typed_text, wanted


class SettingPrompt(ModalScreen[None]):
    """Dismissed when the value is saved, or when the user goes back."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]

    def __init__(self, setting: Setting, save: Callable[[str], str]) -> None:
        """`save`: takes what was typed; what is wrong with it, or empty where it is saved."""
        super().__init__()
        self._setting = setting
        self._save = save

    def compose(self) -> ComposeResult:
        """What it does, the line, what is wrong, keys."""
        setting = self._setting
        with Vertical(classes="sheet"):
            yield Static(one_cell_each(f"{setting.id}: {setting.words}"), classes="sheet-title", markup=False)
            yield Input(typed_text(setting), placeholder=setting.key.example, id="typed")
            yield Static(one_cell_each(f"Wanted: {wanted(setting.key)}"), id="setting-says", markup=False)
            yield Static("Enter saves, Esc goes back.", markup=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter."""
        event.stop()
        wrong = self._save(event.value)
        if wrong:
            says = self.query_one("#setting-says", Static)
            says.update(one_cell_each(wrong))
            says.add_class("-wrong")
        else:
            self.dismiss(None)
