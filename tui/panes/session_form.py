"""Two lines to name and note a session in: shown below the list, gone with Enter or Esc."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input, Static

from core.session_notes import NAME_LIMIT, NOTE_LIMIT, Words
from core.sessions import Entry
from tui.canvas.cells import one_cell_each
from tui.messages import FormLeft
from tui.session_messages import SessionWritten


class SessionForm(Vertical):
    """The file keeps its own name, whatever is written here."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave as it is", priority=True)]

    def __init__(self) -> None:
        super().__init__(id="session-form")
        self._entry: Entry | None = None
        self._given: dict[str, tuple[str, str]] = {}
        """By line: what was put in, and what it stands for. A note may hold what no line can show."""

    def compose(self) -> ComposeResult:
        """A title and two lines."""
        yield Static("", id="session-form-title", markup=False)
        yield Input(placeholder="name; without one its file's name is shown", id="session-name", compact=True)
        yield Input(placeholder="note", id="session-note", compact=True)

    @property
    def is_open(self) -> bool:
        """Whether it is shown."""
        return self.has_class("-open")

    def edit(self, entry: Entry) -> None:
        """Show it for this session."""
        self._entry = entry
        self.add_class("-open")
        self.complain("Name and note. Enter saves, Esc leaves them as they are.")
        for line, text, limit in (("name", entry.words.name, NAME_LIMIT), ("note", entry.words.note, NOTE_LIMIT)):
            box = self.query_one(f"#session-{line}", Input)
            box.max_length = max(limit, len(text))
            self._given[line] = one_cell_each(text), text
            box.value = self._given[line][0]
        self.query_one("#session-name", Input).focus()

    def complain(self, text: str) -> None:
        """Say in the title line what is wrong; what was typed stays."""
        self.query_one("#session-form-title", Static).update(one_cell_each(text))

    def close(self) -> None:
        """Hide it."""
        self.remove_class("-open")
        self.screen.set_focus(None)
        self.post_message(FormLeft())

    def action_leave(self) -> None:
        """What was saved stays as it was saved."""
        self.close()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in either line."""
        event.stop()
        if self._entry is not None:
            self.post_message(SessionWritten(self._entry, Words(self._text("name"), self._text("note"))))

    def _text(self, line: str) -> str:
        written = self.query_one(f"#session-{line}", Input).value
        shown, meant = self._given[line]
        return meant if written == shown else written.strip()
