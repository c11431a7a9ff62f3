"""What the time bar says beside its strip: where the recording stands, what time it was, how it runs."""

from __future__ import annotations

from typing import NamedTuple

from core.aged import Freshness
from core.sources.source import SourceState
from core.timeline import Timeline
from tui import wording
from tui.state import BoardState

COMFORTABLE, LEAST = 24, 8
"""Cells of the strip that longer words give way to, and without which there is none."""
NO_CLOCK = "--:--:--"
_PACE_WIDTH = 7
"""As wide as `seeking`: the strip must not move when its neighbour changes."""
_BESIDE = 4
"""A margin on both sides, and the strip's two ends."""


class Words(NamedTuple):
    """What stands left and right of the strip, a row each; the second row is shown where there is one."""

    left: tuple[str, str]
    right: tuple[str, str]

    @property
    def taken(self) -> int:
        """Cells beside the strip."""
        return _BESIDE + self.left_width + self.right_width

    @property
    def left_width(self) -> int:
        """With the blank before the strip."""
        return _width(self.left)

    @property
    def right_width(self) -> int:
        """With the blank behind the strip."""
        return _width(self.right)


def _width(texts: tuple[str, str]) -> int:
    longest = max(map(len, texts))
    return longest + 1 if longest else 0


def words_for(state: BoardState, size: tuple[int, int]) -> Words:
    """As much as fits: first the pace goes (the line on top says it too), then the duration, then the time of day."""
    width, height = size
    forms = _two_rows(state) if height > 1 else _one_row(state)
    return next((form for form in forms if width - form.taken >= COMFORTABLE), forms[-1])


def _one_row(state: BoardState) -> tuple[Words, ...]:
    timeline = state.timeline or Timeline()
    at, long = _position(timeline), _position_and_duration(timeline)
    clock, runs = clock_words(state), f"{running_words(state):>{_PACE_WIDTH}}"
    return (
        Words((long, ""), (f"{clock} UTC {runs}", "")),
        Words((long, ""), (f"{clock} {runs}", "")),
        Words((long, ""), (clock, "")),
        Words((at, ""), (clock, "")),
        Words((at, ""), ("", "")),
    )


def _two_rows(state: BoardState) -> tuple[Words, ...]:
    timeline = state.timeline or Timeline()
    at, long = _position(timeline), _position_and_duration(timeline)
    clock, runs = clock_words(state), running_words(state)
    reading = f"{reading_words(state):<12}"
    return (
        Words((long, runs), (f"{clock} UTC", reading)),
        Words((at, f"{runs:<{_PACE_WIDTH}}"), (clock, "")),
        Words((at, f"{runs:<{_PACE_WIDTH}}"), ("", "")),
    )


def _position(timeline: Timeline) -> str:
    """As wide as the duration, so that the strip stands still."""
    long = wording.clock(timeline.duration_s) if timeline.duration_s is not None else ""
    return f"{wording.clock(timeline.position_s):>{len(long)}}"


def _position_and_duration(timeline: Timeline) -> str:
    """A duration that is not known yet is a dash, however much of it is."""
    if timeline.duration_s is None:
        return f"{_position(timeline)}/{wording.UNKNOWN:<7}"
    return f"{_position(timeline)}/{wording.clock(timeline.duration_s)}"


def clock_words(state: BoardState) -> str:
    """UTC time of day as the recording tells it; dashes where it does not, or no longer."""
    aged = state.snapshot.values.utc
    if aged is None or aged.freshness(state.now_s) is Freshness.GONE:
        return NO_CLOCK
    return aged.value.clock()


def running_words(state: BoardState) -> str:
    """How it runs: seeking before all else, since the rest of the board still shows the moment left behind."""
    if state.timeline is not None and state.timeline.is_seeking:
        return "seeking"
    if state.status.state is not SourceState.PLAYING or state.status.pace is None:
        return state.status.state.value
    return "max" if state.status.pace == float("inf") else wording.pace(state.status.pace)


def reading_words(state: BoardState) -> str:
    """How far the recording has been read in the background; empty once all is known."""
    timeline = state.timeline
    if timeline is None:
        return ""
    if timeline.duration_s is None:
        return f"read {timeline.indexed * 100:3.0f} %"
    reached, whole = state.survey.reached_s, timeline.duration_s
    if state.survey.is_done or not whole or not reached:
        return ""
    return f"judged {min(99, int(reached / whole * 100)):2d} %"
