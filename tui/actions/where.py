"""Actions on the question where one was at a time: of one session, or of all."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from textual.worker import get_current_worker

from core.errors import InputError
from tui.actions.files import Left
from tui.actions.session_listing import LOOKING, SessionListActions, go_on_gently
from tui.session_messages import WhereAnswered, WhereAsked

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.asked_times import Asked
    from core.session_question import Answer
    from core.sessions import Entry
    from tui.screens.where import WhereScreen


class WhereActions(SessionListActions):
    """Where was I?"""

    _asked_of: Entry | None = None
    """The session that it is about."""

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
    def _where_screen(self) -> WhereScreen | None:
        from tui.screens.where import WhereScreen

        return next((one for one in reversed(self.screen_stack) if isinstance(one, WhereScreen)), None)

    def _ask_where(self, entry: Entry) -> None:
        from tui import session_words as words
        from tui.screens.where import WhereScreen

        self._asked_of = entry
        self.push_screen(WhereScreen(f"{entry.name}, {words.when(entry)} UTC"))

    def _look(self, asked: list[Asked], chosen: Entry, entries: tuple[Entry, ...]) -> None:
        from core.asked_times import local_to_utc
        from core.session_question import Ways, answers_of

        worker = get_current_worker()
        progress = partial(go_on_gently, worker)
        try:
            if chosen.summary is None:
                chosen = self._logbook.summarised(chosen, progress)
            # The chosen one last: of several that a time lies in, the last is asked.
            others = [entry for entry in entries if entry.session.key != chosen.session.key]
            ways = Ways(local_to_utc, self.session.settings.errors, progress)
            found = answers_of(asked, [*others, chosen], ways, chosen)
        except Left:
            return
        except InputError as error:
            self.post_message(WhereAnswered((str(error),)))
            return
        self.post_message(WhereAnswered(tuple(_answer_lines(found)), _asked_titles(found)))


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
