"""The state in words: one frozen moment as plain lines, to be read aloud, copied or written to a file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.canvas.cells import one_cell_each
from tui.commands import WORDS_COMMANDS, bindings
from tui.own_keys import with_keys

KEYS = "{renew_words} the moment now  {copy_words} copy all  {write_words} to a file  Esc back"
"""With the commands' ids in the place of their keys."""


class WordsIntent(Message):
    """What is wanted with the lines: `copy` or `write`."""

    def __init__(self, intent: str, lines: Sequence[str]) -> None:
        """`lines`: as they stand, however long ago they were taken."""
        super().__init__()
        self.intent = intent
        self.lines = tuple(lines)


class InWordsScreen(ModalScreen[None]):
    """Nothing moves in it until the user asks: what is being read must not change under the reader."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,I", "dismiss(None)", "Back"),
        *bindings(WORDS_COMMANDS),
    ]

    def __init__(self, look: Callable[[], list[str]]) -> None:
        """`look`: the lines of the present moment."""
        super().__init__()
        self._look = look
        self._lines = look()

    @property
    def lines(self) -> tuple[str, ...]:
        """As they stand."""
        return tuple(self._lines)

    def compose(self) -> ComposeResult:
        """The lines with nothing around them; the keys last."""
        with VerticalScroll(id="in-words-scroll"):
            yield Static(self._text, id="in-words", markup=False)
        yield Static(with_keys(KEYS), id="in-words-keys", markup=False)

    def action_renew_words(self) -> None:
        """The moment of now in the place of that of before; the reader stays at the line."""
        self._lines = self._look()
        self.query_one("#in-words", Static).update(self._text)

    def action_want(self, intent: str) -> None:
        """The application does it."""
        self.post_message(WordsIntent(intent, self._lines))

    @property
    def _text(self) -> str:
        return "\n".join(map(one_cell_each, self._lines))
