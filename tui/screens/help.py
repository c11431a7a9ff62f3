"""Keys, words and cautions."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import events
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
    SHEETS,
    STATION_COMMANDS,
    key_names,
)
from tui.guides import GUIDES
from tui.screens.hanging import hanging, room_in_sheet

KEYS, WORD = 12, 18
"""Columns of the keys, and of the words."""
UNWRAPPED = 10_000
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
    *(command for sheet in SHEETS for command in sheet),
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
            yield Static("fixboard: help (Up and Down scroll, Esc goes back)", classes="sheet-title")
            yield Static(id="help")

    def on_resize(self, event: events.Resize) -> None:
        """Wrap it anew; also when it is first shown."""
        self.query_one("#help", Static).update(help_text(room_in_sheet(event.size.width)))


def help_text(width: int = UNWRAPPED) -> Text:
    """Cautions, guides, commands by group, words; at most `width` columns wide."""
    text = Text()
    for caution in CAUTIONS:
        text.append(f"{hanging(caution, width, 2)}\n")
    text.append("\nGuides\n", "bold")
    for guide in GUIDES:
        text.append(_line(guide.key, KEYS, f"{guide.title}: what to press in which order", width))
    for group in GROUPS:
        text.append(f"\n{group}\n", "bold")
        for command in EVERY_COMMAND:
            if command.group == group:
                text.append(_line(key_names(command), KEYS, command.help, width))
    text.append("\nWords\n", "bold")
    for word, meaning in WORDS:
        text.append(_line(word, WORD, meaning, width))
    text.append("\nEsc goes back.")
    return text


def _line(head: str, wide: int, words: str, width: int) -> str:
    """Beside its keys or its word; below them where they leave no gap, as keys of the user's own may."""
    if len(head) < wide:
        return f"{hanging(f'  {head:<{wide}}{words}', width, 2 + wide)}\n"
    return f"{hanging(f'  {head}', width, 2)}\n{hanging(' ' * (2 + wide) + words, width, 2 + wide)}\n"
