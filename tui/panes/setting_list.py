"""The list of settings: name, value, whether that is the user's own or the usual one, and what it does."""

from __future__ import annotations

from tui.canvas.cells import fitted
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row
from tui.panes.cursor_list import CursorList
from tui.setting_rows import Setting, with_unit

NAME, VALUE = 29, 24
"""Widths of the columns."""
WORDS_FROM = 90
"""Width of the list from which it has room for what a setting does."""
WORD_FROM = 46
"""And for whether it is set as a word, with names and values in columns."""
STATES = {"wrong": ("wrong", "!", Ink.ALERT), "set": ("set", "*", Ink.TARGET), "usual": ("usual", "", Ink.MUTED)}


class SettingListPane(CursorList[Setting]):
    """One setting a row."""

    caption = "Settings"

    def __init__(self) -> None:
        super().__init__("setting-list", lambda one: one.id)

    def row(self, item: Setting, width: int, *, chosen: bool) -> Row:
        """The words go first, then the state is a sign, then the name is cut: the value last. It takes of the words."""
        state, ink = self._state(item, width)
        value = with_unit(item.value, item.key)
        name_width = self._name_width(width, len(value))
        room = max(1, width - name_width - 2 - len(state) - 3)
        has_words = width >= WORDS_FROM
        value = fitted(value, room)
        value_width = max(VALUE, len(value) + 2)
        words = fitted(item.words, max(0, room - value_width)) if has_words else ""
        own = item.found is not None
        value_ink = ink if item.wrong else Ink.TEXT if own else Ink.MUTED
        return (
            Span("> " if chosen else "  ", Ink.ACCENT, bold=chosen),
            Span(f"{fitted(item.id, name_width - 1):<{name_width}}", Ink.TEXT, bold=chosen),
            Span(f"{value:<{value_width}}" if words else value, value_ink, bold=own),
            Span(words, Ink.MUTED),
            PUSH,
            Span(f"{state} ", ink),
        )

    @staticmethod
    def _state(item: Setting, width: int) -> tuple[str, Ink]:
        state = "wrong" if item.wrong else "usual" if item.found is None else "set"
        word, sign, ink = STATES[state]
        return (word if width >= WORD_FROM else sign), ink

    @staticmethod
    def _name_width(width: int, value: int) -> int:
        if width >= WORD_FROM:
            return NAME
        return min(NAME, max(8, width - 6 - min(value, width // 2)))
