"""What stands below a stage page: a caption for the audience, and a line for the presenter alone."""

from __future__ import annotations

from math import isfinite
from typing import NamedTuple

from core.chapters import Chapter
from core.events import Event
from core.sources.source import SourceState
from tui import wording
from tui.canvas.cells import one_cell_each
from tui.state import BoardState

NOT_READ_YET = "the rest is still being read"


class Coming(NamedTuple):
    """What comes next on the recording's axis."""

    words: str
    at_s: float


def position_s(state: BoardState) -> float:
    """Where the replay stands."""
    return state.timeline.position_s if state.timeline else state.status.elapsed_s


def chapter_now(state: BoardState) -> Chapter | None:
    """The one that the audience is in. It stays until the next: who comes in late wants to know as well."""
    return state.chapters.at(position_s(state)) if state.status.kind.is_recorded else None


def coming(state: BoardState) -> Coming | None:
    """The next chapter; without chapters the next event; after the last one the end, where that is known."""
    now_s = position_s(state)
    chapter = state.chapters.after(now_s)
    if chapter is not None:
        return Coming(one_cell_each(chapter.title), chapter.at_s)
    event = None if state.chapters.items else _event_after(state.survey.events, now_s)
    if event is not None:
        return Coming(
            one_cell_each(f"{event.kind.value}: {event.text}" if event.text else event.kind.value), event.at_s
        )
    end_s = state.timeline.duration_s if state.timeline else None
    return None if end_s is None or end_s <= now_s else Coming("the end", end_s)


def _event_after(events: tuple[Event, ...], now_s: float) -> Event | None:
    return next((event for event in events if event.at_s > now_s), None)


def next_words(state: BoardState) -> str:
    """The next thing, in how long on the recording's clock and in how long in the room."""
    if not state.status.kind.is_recorded:
        return state.status.detail or state.status.state.value
    found = coming(state)
    if found is None:
        return "nothing more comes" if _is_over(state) else NOT_READ_YET
    left_s = max(0.0, found.at_s - position_s(state))
    return f"next: {found.words}, in {wording.clock(left_s)} of it, {_room_words(state, left_s)}"


def _is_over(state: BoardState) -> bool:
    return state.survey.is_done or state.status.state is SourceState.ENDED


def _room_words(state: BoardState, left_s: float) -> str:
    """How long the audience will wait; gaps of the recording that are cut short make it less."""
    if state.status.state is SourceState.PAUSED:
        return "paused"
    pace = state.status.pace
    if state.status.state is not SourceState.PLAYING or not pace:
        return str(state.status.state.value)
    if not isfinite(pace):
        return "as fast as it goes"
    return f"{wording.clock(left_s / pace)} here at {wording.pace(pace)}"


def place_words(state: BoardState) -> str:
    """How far it has come, and how long it is; for a source that has no axis its name."""
    if not state.status.kind.is_recorded:
        return one_cell_each(state.status.name)
    seeking = "seeking  " if state.timeline and state.timeline.is_seeking else ""
    end_s = state.timeline.duration_s if state.timeline else None
    end = f" / {wording.clock(end_s)}" if end_s is not None else ""
    return f"{seeking}{wording.clock(position_s(state))}{end}"
