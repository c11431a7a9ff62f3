"""Actions on the sessions of the logbook: replay, name, and what else is wanted of one of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import FixboardError
from tui.actions.session_bin import SessionBinActions
from tui.actions.session_export import SessionExportActions
from tui.actions.where import WhereActions
from tui.session_messages import SessionIntent, SessionWritten

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.sessions import Entry


class LogbookActions(SessionBinActions, SessionExportActions, WhereActions):
    """Recorded sessions."""

    def on_session_intent(self, message: SessionIntent) -> None:
        """What is wanted of a session of the list."""
        message.stop()
        if message.entry is None:
            {"undo": self._undo_session, "empty": self._ask_to_empty}[message.intent]()
            return
        wanted = {
            "replay": self._replay_session,
            "where": self._ask_where,
            "export": self._ask_for_format,
            "delete": self._delete_session,
        }
        wanted[message.intent](message.entry)

    def on_session_written(self, message: SessionWritten) -> None:
        """Name and note were filled in."""
        from tui.panes.session_form import SessionForm

        message.stop()
        screen = self._log_screen
        if screen is None:
            return
        form = screen.query_one(SessionForm)
        try:
            written = self._logbook.write(message.entry, message.words, self._logbook_now())
        except FixboardError as error:
            form.complain(str(error))
            return
        form.close()
        self._reload(written.session.key)
        self._say(f"Saved: {written.name}.")

    def _replay_session(self, entry: Entry) -> None:
        from tui.session_opening import session_opening

        if entry.summary and entry.summary.problem and not entry.summary.epochs:
            self._say(f"There is nothing to play: it {entry.summary.problem}.", "warning")
            return
        was_recording = self._recorder.is_running
        before = self._feed
        self.open(session_opening(entry.session))
        if self._feed is before:  # it could not be opened, and that has been said
            return
        if self._log_screen:
            self._log_screen.dismiss(None)
        stopped = " Recording has stopped." if was_recording else ""
        self._say(f"Playing {entry.name}.{stopped} o opens the receiver again.")
