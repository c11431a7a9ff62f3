"""A second recording beside the one that is played: asked for, lined up in the background, following, let go."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from textual.message import Message

from core.errors import FixboardError
from core.sources.source import SourceKind, SourceState, SourceStatus
from tui.actions.looks import LookActions
from tui.actions.replaying import ReplayActions
from tui.actions.watching import SourceActions
from tui.canvas.cells import one_cell_each
from tui.opening import Openable, Opening, PairOpening
from tui.screens.pick import Choice, PickScreen
from tui.screens.prompt import PromptScreen

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.pair_other import Other
    from tui.pair_opening import BesideOpening, LinedUp

PAGE = "ab"
OTHER_FILE = "Another file"
NO_MORE = "No second recording any more"
ASK = "Which recording is to play beside this one?"
ASK_PATH = "The file to play beside this one"
HINT = "a recording of NMEA 0183, plain or .gz, or a track"


class OtherNews(Message, bubble=False):
    """The feed of the second recording has a newer snapshot to take."""

    def can_replace(self, message: Message) -> bool:
        """Only the newest matters."""
        return isinstance(message, OtherNews)


@dataclass
class OtherReady(Message):
    """The second recording has been lined up, or cannot be."""

    asked: BesideOpening
    lined: LinedUp | None
    trouble: str = ""


class PairActions(LookActions, SourceActions, ReplayActions):
    """B beside A. A leads: every control of the replay is A's."""

    _first: Opening | None = None
    """What A was opened from."""
    _asked: BesideOpening | None = None
    """What is to play beside it; its lining up may be under way."""
    _beside: LinedUp | None = None
    _other: Other | None = None

    def open(self, opening: Openable) -> None:
        """Watch this from now on, and the recording that was asked for with it beside it."""
        before = self._feed
        super().open(opening)
        if self._feed is not before:
            self._first = opening if isinstance(opening, Opening) else None
            if isinstance(opening, PairOpening) and opening.beside is not None:
                self.pair_with(opening.beside, opening.checksums)

    def pair_with(self, path: Path, checksums: str | None = None) -> None:
        """Play this file beside the recording that is open. What cannot be opened is said, the board stays."""
        from core.pair_other import Other
        from tui.pair_opening import BesideOpening

        player, first = self._player, self._first
        if player is None or first is None:
            self._say("Open a recording first: the second one follows it.", "warning")
            return
        self._part()
        asked = BesideOpening(path, checksums=checksums, errors=first.errors, rule=first.rule, leader=player)
        self._asked = asked
        self._other = Other(SourceStatus(SourceKind.REPLAY, path.name, SourceState.STARTING))
        self._show()
        Thread(target=self._line_up, args=(first, asked), name="line up", daemon=True).start()

    def _line_up(self, first: Opening, asked: BesideOpening) -> None:
        """In a thread of its own: how long it takes depends on how far into the files their first fixes are."""
        from tui.pair_opening import lined_up

        try:
            ready = OtherReady(asked, lined_up(first, asked, self._tell_of_other))
        except FixboardError as error:
            ready = OtherReady(asked, None, str(error))
        if not self.post_message(ready) and ready.lined:
            ready.lined.feed.stop()

    def _tell_of_other(self) -> None:
        self.post_message(OtherNews())

    def on_other_ready(self, message: OtherReady) -> None:
        """Begin to follow, unless something else has been opened meanwhile."""
        message.stop()
        lined = message.lined
        if message.asked is not self._asked:
            if lined:
                lined.feed.stop()
        elif lined is None:
            self._part()
            self._show()
            self.notify(
                one_cell_each(message.trouble), title="Cannot open B", severity="error", timeout=20, markup=False
            )
        else:
            self._beside = lined
            lined.feed.start()
            self._show()
            self._say(f"A and B {lined.axis.basis.value}{f': {lined.axis.why}' if lined.axis.why else ''}.")

    def on_other_news(self, message: OtherNews) -> None:
        """Draw B's newest snapshot."""
        message.stop()
        if self._beside:
            self._show()

    def action_page(self, page: str) -> None:
        """Show one page; that of two recordings asks for the second where there is none, or on a second press."""
        again = page == PAGE == self.board.page
        super().action_page(page)
        if page == PAGE and self._player is not None and (again or self._asked is None):
            self._ask_for_other()

    def _show(self, **changes: object) -> None:
        """B moves with A's clock, news or not."""
        if self._beside:
            self._other = self._other_now(self._beside)
        super()._show(**{"other": self._other, **changes})

    def _leave(self) -> None:
        self._part()
        super()._leave()

    def _part(self) -> None:
        """Have no second recording any more."""
        beside, self._beside, self._asked, self._other = self._beside, None, None, None
        if beside:
            beside.feed.stop()

    @staticmethod
    def _other_now(beside: LinedUp) -> Other:
        """B's clock stands at its end; A's, which goes on, is what its last values age by."""
        from core.pair_other import Other

        status, wanted_s = beside.feed.status(), beside.follower.wanted_s()
        is_over = status.state in {SourceState.ENDED, SourceState.FAILED}
        now_s = wanted_s if is_over or wanted_s < 0.0 else beside.follower.now_s()
        return Other(status, beside.feed.take(), now_s, beside.axis, is_lined_up=True)

    # Asking

    def _ask_for_other(self) -> None:
        paths = self._offered()
        choices = [Choice(path.name, one_cell_each(str(path.parent))) for path in paths]
        choices.append(Choice(OTHER_FILE, "type its name"))
        if self._asked is not None:
            choices.append(Choice(NO_MORE, one_cell_each(self._asked.path.name)))

        def picked(number: int | None) -> None:
            if number is None:
                return
            if number < len(paths):
                self.pair_with(paths[number])
            elif choices[number].name == OTHER_FILE:
                self.push_screen(PromptScreen(ASK_PATH, HINT), self._typed)
            else:
                self._part()
                self._show()

        self.push_screen(PickScreen(ASK, choices, ""), picked)

    def _typed(self, text: str | None) -> None:
        if text:
            self.pair_with(Path(text).expanduser())

    def _offered(self) -> list[Path]:
        """Recordings that lie beside A, those of this folder and of the recorder, and what the board came with."""
        from tui.offers import recording_offers, recordings_in

        near = recordings_in(self._first.path.parent) if self._first else []
        openings = [*recording_offers(Path(), self.session.recordings), *self._openings]
        listed = [*near, *(one.path for one in openings if isinstance(one, Opening))]
        return list({path.absolute(): path for path in listed}.values())
