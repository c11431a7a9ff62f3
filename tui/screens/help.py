"""Keys, words and cautions."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.commands import (
    CAUTIONS,
    CHAPTER_COMMANDS,
    COMMANDS,
    GROUPS,
    LOG_COMMANDS,
    PLACE_COMMANDS,
    SETTING_COMMANDS,
    STATION_COMMANDS,
    Command,
    key_names,
)
from tui.guides import GUIDES

WORDS = (
    ("in the fix", "satellites that the receiver lists as used in the position"),
    ("in view", "satellites that it reports, used or not"),
    ("grey with an age", "two of this value were due and did not come"),
    ("REPLAY", "a recording, not what is now"),
    ("REHEARSAL", "a simulated recording: nothing in it was ever received"),
    ("HELD PLACE", "a saved place in the place of a receiver"),
)
EVERY_COMMAND = (
    *COMMANDS, *PLACE_COMMANDS, *LOG_COMMANDS, *CHAPTER_COMMANDS, *STATION_COMMANDS, *SETTING_COMMANDS,
)  # fmt: skip


class HelpScreen(ModalScreen[None]):
    """Made from the table of commands, so that it cannot fall behind it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,f1,question_mark,h,enter", "app.pop_screen", "Back", show=True),
        *(Binding(guide.key, f"app.guide('{guide.name}')", guide.title, show=False) for guide in GUIDES),
    ]

    def compose(self) -> ComposeResult:
        """One sheet, scrolled with the arrow keys."""
        with VerticalScroll(classes="sheet"):
            yield Static("fixboard: help", classes="sheet-title")
            yield Static(help_text())


def help_text() -> Text:
    """Cautions, guides, commands by group, words."""
    text = Text()
    for caution in CAUTIONS:
        text.append(f"{caution}\n")
    text.append("\nGuides\n", "bold")
    for guide in GUIDES:
        text.append(f"  {guide.key:<12}{guide.title}: what to press in which order\n")
    for group in GROUPS:
        text.append(f"\n{group}\n", "bold")
        for command in EVERY_COMMAND:
            if command.group == group:
                text.append(_line(command))
    text.append("\nWords\n", "bold")
    for word, meaning in WORDS:
        text.append(f"  {word:<18}{meaning}\n")
    text.append("\nEsc goes back.")
    return text


def _line(command: Command) -> str:
    return f"  {key_names(command):<12}{command.help}\n"
