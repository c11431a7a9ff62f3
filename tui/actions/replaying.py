"""Actions on a recording that is played: pace, steps, jumps, moments, a loop."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from core.errors import InputError
from core.fix import Utc
from core.sources.player import Player
from core.sources.source import SourceKind, SourceState
from core.timeline import Stretch, Timeline
from tui import wording
from tui.actions.base import BoardApp
from tui.panes.time_bar import TimeBar
from tui.panes.time_bar_moments import (
    EventMoment,
    all_events,
    lead_s,
    moment_words,
    next_moment,
    previous_moment,
)
from tui.screens.prompt import PromptScreen
from tui.state import BoardState

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.asked_moment import AskedMoment

PACES = (0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, float("inf"))
SHORTEST_LOOP_S = 1.0
"""An epoch at the usual pace of receivers: a shorter stretch would show a standing picture."""
NOT_PLAYED = {
    SourceKind.NOTHING: "No recording is open: o opens one.",
    SourceKind.LIVE: "This is live: there is no other time to go to. o opens a recording.",
    SourceKind.HELD: "A held place has no time to go through. o opens a recording.",
}
"""Why the keys of a replay do nothing."""
ASK = "Which moment?"
ASK_HINT = "14:32:10 UTC   +5:00   -30   0:12:30 from start   37%"


class _Aim(NamedTuple):
    """What the event keys went to last."""

    player: Player
    landing_s: float
    event_s: float
    jumps: int
    """Of the player, before it landed."""

    def is_awaited(self, timeline: Timeline) -> bool:
        """Whether the event is still to come, and nothing but this has moved the player since."""
        return timeline.jumps <= self.jumps + 1 and timeline.position_s <= self.event_s


class ReplayActions(BoardApp):
    """Pause, pace, and where it plays."""

    _loop_begun: tuple[Player, float] | None = None
    """Whose loop has a begin and no end yet, and where."""
    _aimed: _Aim | None = None

    # How it plays

    def action_toggle_pause(self) -> None:
        """Stand still, or play on; at the end, play again from the start."""
        player = self._replay()
        if player is None:
            return
        status = player.status()
        if status.state is SourceState.FAILED:
            self._say(f"It cannot be read on here ({status.detail}). Space and the pace do nothing; < goes back.")
        elif status.state is SourceState.ENDED:
            self.seek_to(0.0)
            self._say("From the start again.")
        else:
            player.toggle_pause()
            self._show()

    def action_faster(self) -> None:
        """The next faster pace."""
        self._set_pace(lambda now: bisect_right(PACES, now))

    def action_slower(self) -> None:
        """The next slower pace."""
        self._set_pace(lambda now: bisect_left(PACES, now) - 1)

    def _set_pace(self, following: Callable[[float], int]) -> None:
        player = self._replay()
        if player:
            number = following(player.status().pace or 1.0)
            player.set_pace(PACES[min(max(number, 0), len(PACES) - 1)])
            self._show()

    # Where it plays

    def seek_to(self, at_s: float) -> None:
        """Go to a moment, in seconds since the recording's first piece; what lies outside means the nearer end."""
        player = self._replay()
        if player:
            self._aimed = None
            player.seek(max(0.0, at_s))
            self._show()

    def action_seek_by(self, seconds: float) -> None:
        """So much on, or back; pressed again while it seeks, they add up."""
        player = self._replay()
        if player:
            self.seek_to(player.timeline().position_s + seconds)

    def action_step(self, epochs: int) -> None:
        """One epoch on or back, and stand there."""
        player = self._replay()
        if player:
            self._aimed = None
            player.step(epochs)
            self._show()

    def on_time_bar_sought(self, message: TimeBar.Sought) -> None:
        """A click on the time bar."""
        message.stop()
        self.seek_to(message.at_s)

    def action_ask_time(self) -> None:
        """Ask for a moment and go there."""
        if self._replay():
            self._ask_time()

    def _ask_time(self, before: str = "") -> None:
        self.push_screen(PromptScreen(ASK, ASK_HINT, before), self._go_to_what_was_typed)

    def _go_to_what_was_typed(self, text: str | None) -> None:
        from core.asked_moment import read_moment

        player = self._replay() if text else None
        if text is None or player is None:
            return
        try:
            at_s = moment_in(player, read_moment(text))
        except InputError as error:
            self._say(str(error), "warning")
            self._ask_time(text)
            return
        self.seek_to(at_s)

    # Events

    def action_next_event(self) -> None:
        """To shortly before the next event."""
        player = self._replay()
        if player:
            self._aim(player, next_moment(all_events(self.state), self._stands_s(player), _lead(player)))

    def action_previous_event(self) -> None:
        """To shortly before the event that was last; from there, before the one before."""
        player = self._replay()
        if player:
            self._aim(player, previous_moment(all_events(self.state), self._stands_s(player)))

    def _aim(self, player: Player, moment: EventMoment | None) -> None:
        if moment is None:
            self._say(_none_found(self.state))
            return
        landing_s = max(0.0, moment.at_s - _lead(player))
        self.seek_to(landing_s)
        self._aimed = _Aim(player, landing_s, moment.at_s, player.timeline().jumps)
        self._say(moment_words(moment))

    def _stands_s(self, player: Player) -> float:
        """Where it plays; while an event is awaited, not before the place where its key landed.

        The nearest epoch may lie a little before that place: taken for the position, the key would find the same
        event again.
        """
        timeline, aimed = player.timeline(), self._aimed
        if aimed and aimed.player is player and aimed.is_awaited(timeline):
            return max(timeline.position_s, aimed.landing_s)
        return timeline.position_s

    # The loop

    def action_loop(self) -> None:
        """Its begin, its end, and off."""
        player = self._replay()
        if player is None:
            return
        begun, at_s = self._loop_begun, player.timeline().position_s
        if player.timeline().loop is not None:
            player.set_loop(None)
            self._say("The loop is off: it plays on.")
        elif begun is None or begun[0] is not player:
            self._begin_loop((player, at_s))
            self._say(f"The loop begins at {wording.clock(at_s)}. R again, further on, ends it.")
        else:
            self._end_loop(player, Stretch(*sorted((begun[1], at_s))))
        self._show()

    def _end_loop(self, player: Player, stretch: Stretch) -> None:
        """Begin and end may be said in any order."""
        if stretch.to_s - stretch.from_s < SHORTEST_LOOP_S:
            self._say("The loop would end where it begins: let it play, or go further, then R.", "warning")
            return
        player.set_loop(stretch)
        self._begin_loop(None)
        self._say(f"Looped from {wording.clock(stretch.from_s)} to {wording.clock(stretch.to_s)}. R ends that.")

    def _begin_loop(self, begun: tuple[Player, float] | None) -> None:
        self._loop_begun = begun
        self.board.query_one(TimeBar).loop_from = begun[1] if begun else None

    def _show(self, **changes: object) -> None:
        """A begin belongs to what was played when it was said."""
        super()._show(**changes)
        if self._loop_begun and self._loop_begun[0] is not self._player:
            self._begin_loop(None)

    # The player

    def _replay(self) -> Player | None:
        """What is played. Where nothing is, that is said."""
        player = self._player
        if player is None:
            self._say(NOT_PLAYED.get(self.state.status.kind, NOT_PLAYED[SourceKind.NOTHING]))
        return player

    @property
    def _player(self) -> Player | None:
        return self._feed.source if self._feed and isinstance(self._feed.source, Player) else None


def moment_in(player: Player, asked: AskedMoment) -> float:
    """Where in the recording that is, in seconds. Raises InputError where it is not in it, or not known yet."""
    from core.asked_moment import From

    timeline = player.timeline()
    if asked.counted is From.DAY:
        return _time_of_day(player, round(asked.value), timeline)
    if asked.counted is From.PART and asked.value > 0.0:
        return asked.value * _known_duration(timeline)
    base = timeline.position_s if asked.counted is From.HERE else 0.0
    return max(0.0, base + asked.value)


def _time_of_day(player: Player, time_ms: int, timeline: Timeline) -> float:
    """From here on first: a recording of several days has each time of day more than once."""
    for after_s in (timeline.position_s, 0.0):
        found = player.moment_of(time_ms, after_s)
        if found is not None:
            return found
    clock = Utc(time_ms, None).clock()
    if timeline.duration_s is None:
        raise InputError(f"{clock} UTC is not in what has been read of it so far: {timeline.indexed * 100:.0f} %")
    raise InputError(f"{clock} UTC is at no moment of this recording")


def _known_duration(timeline: Timeline) -> float:
    if timeline.duration_s is None:
        raise InputError(f"how long it is nobody knows yet: {timeline.indexed * 100:.0f} % has been read so far")
    return timeline.duration_s


def _lead(player: Player) -> float:
    return lead_s(player.status().pace or 1.0)


def _none_found(state: BoardState) -> str:
    """Why an event key does nothing."""
    if state.survey.is_done:
        return "No event there: the strip shows them all."
    return f"No event there as far as it has been read: up to {wording.clock(state.survey.reached_s)}."
