"""Two recordings on one time axis: by which clock they are laid side by side, and how far apart they then begin.

UTC where both tell time and date with a fix and were recorded at the same time; else both from their first fix; else
both from their starts. Dates are taken from satellite fixes alone: before one, many receivers show a date of their own
invention. A date that is whole rollovers of the week count too early is moved, where that makes the two meet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import datetime, timedelta
from enum import Enum
from typing import NamedTuple, Protocol

from core.dates import ROLLOVER_DAYS
from core.epochs import Epoch, EpochReader
from core.errors import InputError
from core.sources.recording import Piece

DAY_S = 86_400.0
MOST_ROLLOVERS = 2
"""Weeks are counted in ten bits since 1980: by 2038 there have been two (check-values gps_time.json)."""


class Basis(Enum):
    """What the two have in common."""

    UTC = "by UTC"
    FIRST_FIX = "from their first fixes"
    STARTS = "from their starts"


class Axis(NamedTuple):
    """How to come from a moment of A to the same moment of B."""

    basis: Basis
    offset_s: float
    """B's clock minus A's, each in seconds since its recording's first piece."""
    why: str = ""
    """Why it is no better than that; or what had to be done."""
    days: int = 0
    """What is added to B's dates to bring them into A's count of weeks; negative: A's are the early ones."""


SAME = Axis(Basis.STARTS, 0.0)


class Anchor(NamedTuple):
    """Where a recording can be held on to, in seconds of its own clock."""

    first_s: float
    """Its first fix."""
    at_s: float
    utc: datetime | None
    """The time and date at `at_s`, the first fix that tells both; None where none does."""


class Pieces(Protocol):
    """A recording, as far as lining up goes."""

    def pieces(self) -> Iterator[Piece]:
        """Raises InputError where it cannot be read on."""

    def close(self) -> None:
        """Nothing more is wanted."""


class Alike(NamedTuple):
    """How to read one of the two, as often as it takes."""

    open: Callable[[], Pieces]
    """Raises InputError where it cannot be opened."""
    required: bool
    """Refuse sentences without a checksum (contract.md, Checksums)."""
    is_track: bool = False
    """Somebody's track: its positions are no satellite fixes, and all there is."""


def line_up(a: Alike, b: Alike) -> Axis:
    """By what the two go together. Reads as little as decides it. Raises InputError where one cannot be opened."""
    first, second = anchor(a), anchor(b)
    if first is None or second is None:
        missing = "neither has a" if first is second else "A has no" if first is None else "B has no"
        return Axis(Basis.STARTS, 0.0, f"{missing} fix")
    by_fix = Axis(Basis.FIRST_FIX, second.first_s - first.first_s)
    if first.utc is None or second.utc is None:
        silent = "neither tells a" if first.utc is second.utc else "A tells no" if first.utc is None else "B tells no"
        return by_fix._replace(why=f"{silent} date")
    for days in _rollovers(first.utc, second.utc):
        apart_s = (second.utc - first.utc).total_seconds() + days * DAY_S
        by_utc = Axis(Basis.UTC, second.at_s - first.at_s - apart_s, _moved(days), days)
        if _overlap(a, b, by_utc.offset_s):
            return by_utc
    return by_fix._replace(why="they have no time in common")


def anchor(one: Alike) -> Anchor | None:
    """Its first fix, and the first that tells time and date; None where there is no fix."""
    first: Anchor | None = None
    with closing(one.open()) as recording:
        try:
            for epoch in filter(_tells(one), EpochReader(recording, one.required).epochs()):
                utc = epoch.fix.utc.datetime() if epoch.fix.utc else None
                first = first or Anchor(epoch.at_s, epoch.at_s, None)
                if utc is not None:
                    return Anchor(first.first_s, epoch.at_s, utc)
        except InputError:  # damaged further on: what came before it stands
            pass
    return first


def _tells(one: Alike) -> Callable[[Epoch], bool]:
    if one.is_track:
        return lambda epoch: epoch.fix.position is not None
    return lambda epoch: epoch.fix.is_satellite_fix


def _rollovers(first: datetime, second: datetime) -> list[int]:
    """No days; and the whole rollovers by which the two dates differ, if they differ by about that."""
    turns = round((first - second) / timedelta(days=ROLLOVER_DAYS))
    return [0, turns * ROLLOVER_DAYS] if 0 < abs(turns) <= MOST_ROLLOVERS else [0]


def _moved(days: int) -> str:
    if not days:
        return ""
    early, weeks = ("B" if days > 0 else "A"), abs(days) // 7
    return f"{early}'s date moved on by {weeks} weeks: its week count has rolled over"


def _overlap(a: Alike, b: Alike, offset_s: float) -> bool:
    """Whether the one that began earlier was still going on when the other began."""
    return reaches(b, offset_s) if offset_s >= 0.0 else reaches(a, -offset_s)


def reaches(one: Alike, at_s: float) -> bool:
    """Whether a recording goes on for so long; reads no farther than that."""
    with closing(one.open()) as recording:
        try:
            return any(piece.at_s >= at_s for piece in recording.pieces())
        except InputError:
            return False
