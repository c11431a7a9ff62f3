"""Actions on the logbook: list, replay, name, export, delete with undo; where one was."""

from __future__ import annotations

import os
import time
from collections import deque
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual.worker import Worker, get_current_worker

from core.errors import FixboardError, InputError
from tui.actions.exporting import TITLES
from tui.actions.holding import HoldingActions
from tui.canvas.cells import one_cell_each
from tui.own_keys import key_of
from tui.screens.pick import Choice, PickScreen
from tui.screens.prompt import PromptScreen
from tui.session_messages import SessionIntent, SessionsSummed, SessionWritten, WhereAnswered, WhereAsked

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.asked_times import Asked
    from core.export_plan import Format
    from core.session_question import Answer
    from core.sessions import Entry, Logbook
    from tui.screens.logbook import LogbookScreen
    from tui.screens.where import WhereScreen

READING, LOOKING, EXPORTING = "logbook-reading", "logbook-looking", "logbook-exporting"
"""Groups of threads: one of each at a time."""
BREATH_S = 0.0001
"""After each piece of a recording, half a millisecond's work."""
_TO, _FORMATS = tuple(TITLES), tuple(TITLES.values())
"""Words of `core.export_plan.Format`, and the choices as the board's own export names them."""


class _Left(Exception):
    """The thread is no longer wanted."""


class LogbookActions(HoldingActions):
    """Recorded sessions."""

    _asked_of: Entry | None = None
    """The session that `where was I` is about."""

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
        self.push_screen(LogbookScreen(self.board, entries, self._disk(entries)), self._left_logbook)
        self._say_trouble()
        self._read_missing(entries)

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

    def on_sessions_summed(self, message: SessionsSummed) -> None:
        """Some more are known."""
        message.stop()
        found = [self._summed.popleft() for _ in range(len(self._summed))]
        if self._log_screen and found:
            self._log_screen.take(found)

    def on_session_written(self, message: SessionWritten) -> None:
        """Name and note were filled in."""
        from tui.panes.session_form import SessionForm

        message.stop()
        screen = self._log_screen
        if screen is None:
            return
        form = screen.query_one(SessionForm)
        try:
            written = self._logbook.write(message.entry, message.words, _now())
        except FixboardError as error:
            form.complain(str(error))
            return
        form.close()
        self._reload(written.session.key)
        self._say(f"Saved: {written.name}.")

    def on_where_asked(self, message: WhereAsked) -> None:
        """Times were typed."""
        from core.asked_times import read_times

        message.stop()
        screen = self._where_screen
        if screen is None or self._asked_of is None:
            return
        try:
            asked = read_times(message.text)
        except InputError as error:
            screen.answer(WhereAnswered((str(error),)))
            return
        entries = self._log_screen.entries if self._log_screen else ()
        self.run_worker(partial(self._look, asked, self._asked_of, entries), thread=True, group=LOOKING, exclusive=True)

    def on_where_answered(self, message: WhereAnswered) -> None:
        """The thread has looked."""
        message.stop()
        if self._where_screen:
            self._where_screen.answer(message)

    @property
    def _logbook(self) -> Logbook:
        return self.session.logbook

    @property
    def _log_screen(self) -> LogbookScreen | None:
        from tui.screens.logbook import LogbookScreen

        return next((one for one in reversed(self.screen_stack) if isinstance(one, LogbookScreen)), None)

    @property
    def _where_screen(self) -> WhereScreen | None:
        from tui.screens.where import WhereScreen

        return next((one for one in reversed(self.screen_stack) if isinstance(one, WhereScreen)), None)

    def _read_logbook(self) -> tuple[Entry, ...]:
        """Raises InputError."""
        recording = self._recorder.status.path if self._recorder.is_running else None
        return self._logbook.entries(_now(), recording)

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
        screen.refill(entries, self._disk(entries), choose)
        self._say_trouble()
        self._read_missing(entries)

    def _left_logbook(self, _: None) -> None:
        for group in (READING, LOOKING):
            self.workers.cancel_group(self, group)

    # Reading what is not known yet, in a thread

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
            self._logbook.work_out(entries, found, partial(_go_on, worker))
        except _Left:
            return

    # Replay

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

    # Delete, undo

    def _delete_session(self, entry: Entry) -> None:
        try:
            self._logbook.delete(entry, _now())
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

    # Where was I?

    def _ask_where(self, entry: Entry) -> None:
        from tui import session_words as words
        from tui.screens.where import WhereScreen

        self._asked_of = entry
        self.push_screen(WhereScreen(f"{entry.name}, {words.when(entry)} UTC"))

    def _look(self, asked: list[Asked], chosen: Entry, entries: tuple[Entry, ...]) -> None:
        from core.asked_times import local_to_utc
        from core.session_question import Ways, answers_of

        worker = get_current_worker()
        progress = partial(_go_on, worker)
        try:
            if chosen.summary is None:
                chosen = self._logbook.summarised(chosen, progress)
            # The chosen one last: of several that a time lies in, the last is asked.
            others = [entry for entry in entries if entry.session.key != chosen.session.key]
            ways = Ways(local_to_utc, self.session.settings.errors, progress)
            found = answers_of(asked, [*others, chosen], ways, chosen)
        except _Left:
            return
        except InputError as error:
            self.post_message(WhereAnswered((str(error),)))
            return
        self.post_message(WhereAnswered(tuple(_answer_lines(found)), _asked_titles(found)))

    # Export

    def _ask_for_format(self, entry: Entry) -> None:
        from core.export_plan import Format

        def picked(number: int | None) -> None:
            if number is not None:
                self._ask_where_to(entry, Format(_TO[number]))

        self.push_screen(PickScreen("Export as", _FORMATS, ""), picked)

    def _ask_where_to(self, entry: Entry, to: Format) -> None:
        def typed(path: str | None) -> None:
            if not path:
                return
            try:
                out = Path(path).expanduser()
            except RuntimeError:  # the way Path says that it knows no such user
                self._say(f"{path}: there is no such home folder.", "error")
                return
            if os.path.lexists(out):  # Path.exists raises for a name that is too long
                self._not_exported(f"{out} exists already: choose another name, or move it away")
                return
            self.run_worker(partial(self._export_session, entry, to, out), thread=True, group=EXPORTING)
            self._say("Exporting; the list goes on working.")

        self.push_screen(PromptScreen("Export to which file?", f"a path, as walk.{to.value}"), typed)

    def _export_session(self, entry: Entry, to: Format, out: Path) -> None:
        """In a thread. The end of the program ends it, and leaves nothing half written."""
        from core.export_plan import Plan
        from core.exporting import Outcome, Source, export
        from core.formats.track_text import About
        from core.rehearsal.writer import save
        from core.session_reading import needs_checksums, open_session
        from core.sources.rehearsal_label import is_rehearsal

        session, outcome = entry.session, Outcome()
        try:
            source = Source(
                partial(open_session, session.paths),
                needs_checksums(session.paths),
                self.session.settings.errors,
                is_rehearsal(session.paths[0]),
                partial(_go_on, get_current_worker()),
            )
            save(out, export(source, Plan(to), About(entry.name, entry.words.note), outcome))
        except _Left:
            return
        except FixboardError as error:
            self.call_from_thread(self._not_exported, str(error))
            return
        self.call_from_thread(self._say, f"Exported to {out}: {outcome.words()}.")

    def _not_exported(self, why: str) -> None:
        self.notify(one_cell_each(why), title="Not exported", severity="error", timeout=20, markup=False)


def _answer_lines(found: list[Answer]) -> Iterator[str]:
    """A line each, with what must be known of the session's dates before them."""
    from tui import session_words as words

    yield from dict.fromkeys(
        f"{one.entry.name}: {one.entry.summary.dates.words}"
        for one in found
        if one.entry.summary and one.entry.summary.dates.words
    )
    yield from (words.spot(one.found) for one in found)


def _asked_titles(found: list[Answer]) -> str:
    from tui import session_words as words

    titles = list(dict.fromkeys(f"{one.entry.name}, {words.when(one.entry)} UTC" for one in found))
    return titles[0] if len(titles) == 1 else f"from {len(titles)} sessions"


def _go_on(worker: Worker[object], _: float) -> None:
    """Raises _Left once nobody waits for the thread any more.

    Sleeping lets go of the interpreter at once: else keys, feed and recorder would wait 5 ms for it, again and again.
    """
    if worker.is_cancelled:
        raise _Left
    time.sleep(BREATH_S)


def _now() -> datetime:
    return datetime.now(tz=UTC)
