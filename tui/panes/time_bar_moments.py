"""The moments of a recording that the event keys stop at, and what is said of each."""

from __future__ import annotations

import math
from typing import NamedTuple

from core.events import Event, EventKind
from tui import wording
from tui.panes.time_bar_marks import MARKS, WEIGHTS
from tui.state import BoardState

TOGETHER_S = 3.0
"""Events within this much of the first belong to one moment: a fix that is lost changes mode and verdict too."""
LEAD_S = 3.0
"""How long before the event one lands, in seconds of the room: time to look up, and then to see it happen."""
LEAD_LEAST_S, LEAD_MOST_S = 1.0, 60.0
"""The same on the recording's clock: at least an epoch, and not so much that other events fill it."""


class EventMoment(NamedTuple):
    """Events that happened together."""

    at_s: float
    """When the first of them did."""
    events: tuple[Event, ...]
    """At least one, in the order of time."""


def all_events(state: BoardState) -> tuple[Event, ...]:
    """All that are known: those of the survey, and beyond what it has read those that were played."""
    survey, played = state.survey, state.snapshot.events
    if survey.is_done:
        return survey.events
    beyond = tuple([one for one in played if one.at_s > survey.reached_s]) if survey.events else played
    return (*survey.events, *beyond) if beyond else survey.events


def moments_of(events: tuple[Event, ...]) -> list[EventMoment]:
    """Gather events, in the order of time, into moments."""
    found: list[list[Event]] = []
    for event in events:
        if found and event.at_s - found[-1][0].at_s <= TOGETHER_S:
            found[-1].append(event)
        else:
            found.append([event])
    return [EventMoment(group[0].at_s, tuple(group)) for group in found]


def lead_s(pace: float) -> float:
    """How long before an event to land, on the recording's clock, at this pace."""
    return LEAD_S if math.isinf(pace) else min(max(LEAD_S * pace, LEAD_LEAST_S), LEAD_MOST_S)


def next_moment(events: tuple[Event, ...], at_s: float, lead: float) -> EventMoment | None:
    """The first whose landing place lies ahead. One that is about to happen is not it: one is waiting for that."""
    return next((one for one in moments_of(events) if one.at_s - lead > at_s), None)


def previous_moment(events: tuple[Event, ...], at_s: float) -> EventMoment | None:
    """The last that has begun. Landing before a moment, one has it no longer behind: the key never sticks on it."""
    return next((one for one in reversed(moments_of(events)) if one.at_s < at_s), None)


def moment_words(moment: EventMoment) -> str:
    """The weightiest event with its mark, when it happens, and how many more happen with it."""
    event = max(moment.events, key=lambda one: WEIGHTS[one.kind])
    clock = f", {event.utc.clock()} UTC" if event.utc else ""
    others = len(moment.events) - 1
    more = f"; {others} more with it" if others else ""
    return f"{MARKS[event.kind]} {_what(event)} at {wording.clock(event.at_s)}{clock}{more}"


def _what(event: Event) -> str:
    named = event.kind.value
    return f"{named}: {event.text}" if event.text and event.kind is not EventKind.VERDICT else event.text or named
