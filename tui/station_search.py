"""What the list of stations asks, and the answer: a pure function, worked out in a thread."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import NamedTuple

from core.nearest import Here, Near, near
from core.places.magnetic import Declination
from core.places.norths import norths_at
from core.station_contents import EMPTY, Contents
from core.station_filter import Wanted, chosen
from core.stations import Station
from core.trust import Verdict
from tui import wording
from tui.state import BoardState

SHOWN = 200
"""So many of the nearest are listed: each is measured exactly, and words find the others (our own choice)."""


class Whence(NamedTuple):
    """Where distances are counted from."""

    here: Here | None
    words: str


class Question(NamedTuple):
    """What to list."""

    contents: Contents = EMPTY
    wanted: Wanted = Wanted()
    here: Here | None = None
    day: date = date(2026, 1, 1)
    """For declination."""
    keep: tuple[Station, ...] = ()
    """Measure these again and leave them in their order; empty: put all in order."""


class Item(NamedTuple):
    """A row of the list."""

    station: Station
    near: Near | None
    """None where the station, or we, have no place."""

    @property
    def key(self) -> tuple[str, int]:
        """The same station of another answer has the same."""
        return self.station.source, self.station.row


class Answer(NamedTuple):
    """The rows, and what they are out of."""

    question: Question = Question()
    items: tuple[Item, ...] = ()
    matching: int = 0
    """How many are wanted, of which at most `SHOWN` are rows."""
    north: Declination | None = None
    """At our place; None without one, or where no compass can be relied on."""


def answer(question: Question) -> Answer:
    """The nearest first, then those without a place. Tens of milliseconds for a hundred thousand stations."""
    contents, wanted, here = question.contents, question.wanted, question.here
    numbers = chosen(contents.keys, range(len(contents.keys)), wanted)
    unplaced = [contents.unplaced[n] for n in chosen(contents.unplaced_keys, range(len(contents.unplaced)), wanted)]
    if question.keep:
        items = [Item(one, _near(here, one)) for one in question.keep]
    elif here is not None:
        items = [Item(one.station, one) for one in contents.finder.nearest_of(here, SHOWN, numbers)]
    else:
        items = [Item(contents.finder.stations[n], None) for n in numbers[:SHOWN]]
    if not question.keep:
        items.extend(Item(one, None) for one in unplaced[: SHOWN - len(items)])
    north = norths_at(here.position, question.day).declination if here else None
    return Answer(question, tuple(items), len(numbers) + len(unplaced), north)


def _near(here: Here | None, station: Station) -> Near | None:
    return None if here is None or station.position is None else near(here, station)


def whence(state: BoardState) -> Whence:
    """The last position there is, of whatever age, which is said; of one that is old nobody knows how far off it is."""
    aged = state.snapshot.values.position
    if aged is None:
        return Whence(None, "no position yet: in the order of the lists")
    error_m = state.snapshot.trust.error.horizontal_m if state.is_current else None
    here = Here(aged.value, error_m)
    if state.is_held:
        return Whence(here, f"from the held place {state.status.name}")
    if not state.is_current:
        return Whence(here, f"from the last position, {wording.age(aged.age_s(state.now_s))} old")
    doubtful = "" if state.verdict >= Verdict.USABLE else ", a doubtful fix"
    return Whence(here, f"from here{doubtful}")


def day_of(state: BoardState) -> date:
    """The day on the board, else this computer's: a recording's declination is that of its day."""
    utc = state.utc
    return utc.day if utc and utc.day else datetime.now(tz=UTC).date()
