"""Where was I? Times in, lines for the contact log out."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from tui.canvas.cells import one_cell_each
from tui.commands import WHERE_COMMANDS, bindings
from tui.own_keys import with_keys
from tui.session_messages import WhereAnswered, WhereAsked

HINT = "14:32, 15:10 or 2031-05-04 14:32: UTC, with local behind it by this computer's zone."
KEYS = "Enter looks, {copy_where} copies the lines, Esc goes back."
"""With the command's id in the place of its key."""
LOOKING = "Looking ..."


class WhereScreen(ModalScreen[None]):
    """Stays open for one question after another."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        *bindings(WHERE_COMMANDS, is_first=True),
    ]

    def __init__(self, title: str) -> None:
        """`title`: the session that is asked, unless the times name a day of another."""
        super().__init__()
        self._title = title
        self.lines: tuple[str, ...] = ()

    def compose(self) -> ComposeResult:
        """The session, a line to type in, the answers."""
        with Vertical(classes="sheet", id="where-sheet"):
            yield Static(one_cell_each(f"Where was I? {self._title}"), classes="sheet-title", markup=False)
            yield Input(placeholder="times, with commas between them", id="times")
            with VerticalScroll(id="where-scroll", can_focus=False):
                yield Static(HINT, id="answers", markup=False)
            yield Static(with_keys(KEYS), markup=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter."""
        event.stop()
        if event.value.strip():
            self._put((LOOKING,))
            self.post_message(WhereAsked(event.value))

    def answer(self, message: WhereAnswered) -> None:
        """What has been found."""
        self._put(message.lines)
        if message.title:
            self.query_one(".sheet-title", Static).update(one_cell_each(f"Where was I? {message.title}"))

    def action_copy_where(self) -> None:
        """Into the clipboard, as far as the terminal allows that."""
        if self.lines and self.lines != (LOOKING,):
            self.app.copy_to_clipboard("\n".join(self.lines))
            self.notify(f"Copied: {len(self.lines)} lines.", markup=False)

    def _put(self, lines: tuple[str, ...]) -> None:
        self.lines = tuple(one_cell_each(line) for line in lines)
        self.query_one("#answers", Static).update("\n".join(self.lines))
