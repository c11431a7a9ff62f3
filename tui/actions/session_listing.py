"""Actions on the logbook: open it, and read what is not known of its sessions yet."""

from __future__ import annotations

import time
from collections import deque
from dataclasses import replace
from datetime import UTC, datetime
from functools import cached_property, partial
from typing import TYPE_CHECKING

from textual.worker import Worker, get_current_worker

from core.errors import FixboardError
from tui.actions.files import Left, go_on
from tui.actions.holding import HoldingActions
from tui.canvas.cells import one_cell_each
from tui.own_keys import key_of
from tui.session_messages import SessionsSummed

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.sessions import Entry, Logbook
    from tui.screens.logbook import LogbookScreen

READING, LOOKING = "logbook-reading", "logbook-looking"
"""Groups of threads: one of each at a time."""
BREATH_S = 0.0001
"""After each piece of a recording, half a millisecond's work."""


def go_on_gently(worker: Worker[object], _: float) -> None:
    """Raises Left once nobody waits for the thread any more. Called between the pieces of a recording that is read.

    Sleeping lets go of the interpreter at once: else keys, feed and recorder would wait 5 ms for it, again and again.
    """
    go_on(worker)
    time.sleep(BREATH_S)


class SessionListActions(HoldingActions):
    """The list of recorded sessions."""

    @cached_property
    def _summed(self) -> deque[Entry]:
        """What the reading thread has finished and nobody has taken yet."""
        return deque()

    def action_logbook(self) -> None:
        """The list; what is not known of its sessions yet is read meanwhile."""
        from tui.screens.logbook import LogbookScreen

        try:
            entries = self._read_logbook()
        except FixboardError as error:
            self._say(str(error), "error")
            return
        self._summed.clear()
        screen = LogbookScreen(self.board, entries, self._disk(entries), len(self._logbook.deleted()))
        self.push_screen(screen, self._left_logbook)
        self._say_trouble()
        self._read_missing(entries)

    def on_sessions_summed(self, message: SessionsSummed) -> None:
        """Some more are known."""
        message.stop()
        found = [self._summed.popleft() for _ in range(len(self._summed))]
        if self._log_screen and found:
            self._log_screen.take(found)

    @property
    def _logbook(self) -> Logbook:
        return self.session.logbook

    @property
    def _log_screen(self) -> LogbookScreen | None:
        from tui.screens.logbook import LogbookScreen

        return next((one for one in reversed(self.screen_stack) if isinstance(one, LogbookScreen)), None)

    @staticmethod
    def _logbook_now() -> datetime:
        return datetime.now(tz=UTC)

    def _read_logbook(self) -> tuple[Entry, ...]:
        """Raises InputError."""
        recording = self._recorder.status.path if self._recorder.is_running else None
        return self._logbook.entries(self._logbook_now(), recording)

    def _disk(self, entries: tuple[Entry, ...]) -> str:
        from tui import session_words as words

        deleted = len(self._logbook.deleted())
        kept = f" ({deleted}: {key_of('undo_session')} undoes, {key_of('empty_deleted')} removes)" if deleted else ""
        return f" {words.disk(self._logbook.disk_use(entries))}{kept}"

    def _say_trouble(self) -> None:
        if self._logbook.trouble:
            why = one_cell_each(self._logbook.trouble)
            self.notify(why, title="Names and notes", severity="warning", timeout=20, markup=False)

    def _reload(self, choose: str = "") -> None:
        """The folder has changed; summaries that are only known here stay known."""
        screen = self._log_screen
        if screen is None:
            return
        known = {one.session: one.summary for one in screen.entries}
        try:
            found = self._read_logbook()
        except FixboardError as error:
            self._say(str(error), "error")
            return
        entries = tuple(replace(one, summary=one.summary or known.get(one.session)) for one in found)
        screen.refill(entries, self._disk(entries), len(self._logbook.deleted()), choose)
        self._say_trouble()
        self._read_missing(entries)

    def _left_logbook(self, _: None) -> None:
        for group in (READING, LOOKING):
            self.workers.cancel_group(self, group)

    def _read_missing(self, entries: tuple[Entry, ...]) -> None:
        if any(entry.summary is None for entry in entries):
            self.run_worker(partial(self._work_out, entries), thread=True, group=READING, exclusive=True)

    def _work_out(self, entries: tuple[Entry, ...]) -> None:
        worker = get_current_worker()

        def found(entry: Entry) -> bool:
            self._summed.append(entry)
            self.post_message(SessionsSummed())
            return not worker.is_cancelled

        try:
            self._logbook.work_out(entries, found, partial(go_on_gently, worker))
        except Left:
            return
