"""A few lines to write a chapter in, on top of whatever is shown; the recording goes on below."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from core.chapter_file import TITLE_LIMIT, WORDS_LIMIT, Typed
from tui.canvas.cells import one_cell_each

LINES = {
    "title": ("Title", "a few words", TITLE_LIMIT),
    "words": ("Words", "a sentence or two for the audience", WORDS_LIMIT),
    "at": ("Time", "0:04:10 from the begin, or 14:32:10Z", 20),
    "page": ("Page", "the page that shows it; empty: whichever is open", 20),
    "mask_deg": ("Mask", "of the sky's what-if, degrees; mostly empty", 10),
    "pace": ("Pace", "0.1 to 100 times life; mostly empty", 10),
}
"""By field of `Typed`: label, what is wanted, characters at most."""


class ChapterSheet(ModalScreen[None]):
    """Stays until what was typed is saved, or the user goes back."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]

    def __init__(self, title: str, typed: Typed, save: Callable[[Typed], str]) -> None:
        """`save`: what is wrong, in words, and then all stays as it was typed; empty once it is saved."""
        super().__init__()
        self._title = title
        self._given = typed
        self._save = save

    def compose(self) -> ComposeResult:
        """A title, a line a field, the keys."""
        with Vertical(classes="sheet"):
            yield Static(one_cell_each(self._title), classes="sheet-title", id="chapter-sheet-title", markup=False)
            for field, (label, wanted, limit) in LINES.items():
                text = one_cell_each(getattr(self._given, field))
                with Horizontal(classes="chapter-line"):
                    yield Static(label, classes="chapter-label", markup=False)
                    yield Input(text, wanted, id=f"chapter-{field}", max_length=max(limit, len(text)), compact=True)
            yield Static("Enter saves, Tab goes on, Esc goes back.", markup=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in any line."""
        event.stop()
        trouble = self._save(Typed(**{field: self._text(field) for field in LINES}))
        if trouble:
            self.query_one("#chapter-sheet-title", Static).update(one_cell_each(trouble))
        else:
            self.dismiss(None)

    def _text(self, field: str) -> str:
        """A text of strangers may hold what no line can show: untouched, it stays what it was."""
        written = self.query_one(f"#chapter-{field}", Input).value
        given: str = getattr(self._given, field)
        return given if written == one_cell_each(given) else written.strip()
