"""Two lines to name and note a session in: shown below the list, gone with Enter or Esc."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widgets import Input, Static

from core.session_notes import NAME_LIMIT, NOTE_LIMIT, Words
from core.sessions import Entry
from tui.panes.lines_form import LinesForm
from tui.session_messages import SessionWritten


class SessionForm(LinesForm):
    """The file keeps its own name, whatever is written here."""

    def __init__(self) -> None:
        super().__init__("session-form", "session-form")
        self._entry: Entry | None = None

    def compose(self) -> ComposeResult:
        """A title and two lines."""
        yield Static("", id="session-form-title", markup=False)
        yield Input(placeholder="name; without one its file's name is shown", id="session-form-name", compact=True)
        yield Input(placeholder="note", id="session-form-note", compact=True)

    def edit(self, entry: Entry) -> None:
        """Show it for this session."""
        self._entry = entry
        self._open("Name and note. Enter saves, Esc leaves them as they are.")
        for line, text, limit in (("name", entry.words.name, NAME_LIMIT), ("note", entry.words.note, NOTE_LIMIT)):
            self._line(line).max_length = max(limit, len(text))
            self._put(line, text)
        self._line("name").focus()

    def _submit(self) -> None:
        if self._entry is not None:
            self.post_message(SessionWritten(self._entry, Words(self._text("name"), self._text("note"))))
