"""Actions on the sessions that were deleted: into the bin, out of it again, away for good."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import FixboardError
from tui.actions.session_listing import SessionListActions
from tui.own_keys import key_of
from tui.screens.pick import Choice, PickScreen

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.sessions import Entry


class SessionBinActions(SessionListActions):
    """Delete, with undo."""

    def _delete_session(self, entry: Entry) -> None:
        try:
            self._logbook.delete(entry, self._logbook_now())
        except FixboardError as error:
            self._say(str(error), "error")
            self._reload()
            return
        self._reload()
        self._say(f"Deleted: {entry.name}. {key_of('undo_session')} brings it back, in any later run too.")

    def _undo_session(self) -> None:
        try:
            undone = self._logbook.undo()
        except FixboardError as error:
            self._say(str(error), "error")
            return
        if undone is None:
            self._say("No deleted session is kept.", "warning")
            return
        self._reload(undone.names[0].removesuffix(".gz"))
        self._say("It is back.")

    def _ask_to_empty(self) -> None:
        from tui import session_words as words

        deleted = self._logbook.deleted()
        if not deleted:
            self._say("No deleted session is kept.", "warning")
            return
        room = words.size(sum(one.size for one in deleted))
        choices = [
            Choice("Keep them", f"{key_of('undo_session')} goes on bringing them back"),
            Choice("Remove for good", f"frees {room}"),
        ]

        def picked(number: int | None) -> None:
            if number == 1:
                self._empty()

        self.push_screen(PickScreen(f"Deleted sessions: {len(deleted)}", choices, ""), picked)

    def _empty(self) -> None:
        from tui import session_words as words

        try:
            freed = self._logbook.empty_bin()
        except FixboardError as error:
            self._say(str(error), "error")
            return
        self._reload()
        self._say(f"Removed for good: {words.size(freed)}.")
