"""Two receivers compared: where B is as seen from A, epoch by epoch, and what that difference is worth.

A difference is stated only between two fixes of the same instant: epochs are paired by the time that their own
sentences tell (or, where the two have no date in common, by the common axis), never farther apart than half the shorter
interval between epochs. Nothing is extrapolated: a position carried on by speed and course is a guess about the very
thing that is being measured. What two epochs of a pair are apart, at the speed that was told, is added to the error.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from core.accuracy import ground_radius_ratio
from core.aged import MISSED_PERIODS
from core.fix import MS_PER_DAY, SATELLITE_FIX_MODES, FixMode
from core.pair_axis import Axis, Basis
from core.pair_geometry import Offset, offset
from core.pair_heights import Rise, rise
from core.series import Place, Sample

NOBODY = "nothing to compare yet"
ROUNDING_S = 1e-4
"""Of a time on the axis: seconds since the year 1, as a float, and sums of a recording's steps."""
_NOT_MEASURED = {
    FixMode.ESTIMATED: "is dead reckoning, no fix",
    FixMode.MANUAL: "was typed in by hand",
    FixMode.SIMULATED: "is simulated by its receiver",
}


class Side(NamedTuple):
    """What one of the two has said, as far as comparing goes."""

    letter: str
    """A or B."""
    samples: Sequence[Sample]
    """Its epochs, oldest first, the newest included even if it is not finished."""
    now_s: float
    """The time on its own clock."""
    period_s: float
    """Its usual interval between positions."""
    is_current: bool
    """Whether its position may be taken for the present one."""
    is_track: bool = False
    """Whether it is somebody's track, and no receiver."""


class Pair(NamedTuple):
    """Two epochs of one instant, and how B lies from A."""

    a: Sample
    b: Sample
    apart_s: float
    """B's time minus A's: within half the shorter interval."""
    offset: Offset


class Worth(NamedTuple):
    """How much of a difference may be error."""

    sure_m: float | None
    """95 %: both errors together as if they were independent, and the way moved between the two epochs. None where one
    of them is not known."""
    why: str = ""
    """Why it is not known."""


class Difference(NamedTuple):
    """What may be stated now."""

    pair: Pair | None = None
    why: str = NOBODY
    """Why there is none."""
    rise: Rise = Rise(None, "")
    worth: Worth = Worth(None)


def difference(a: Side, b: Side, axis: Axis, lag_s: float = 0.0) -> Difference:
    """Where B is from A now; blank with the reason where the two have no current fix of one instant.

    `lag_s`: how far one may be read behind the other, on their clocks: much, where an hour is played in a second.
    """
    missing = [side.letter for side in (a, b) if not side.is_current]
    if missing:
        return Difference(why=f"{' and '.join(missing)} {'has' if len(missing) == 1 else 'have'} no current fix")
    longest_s = max(MISSED_PERIODS * max(a.period_s, b.period_s), lag_s)
    fresh = [pair for pair in pairs(a, b, axis, a.now_s - longest_s) if b.now_s - pair.b.at_s <= longest_s]
    if not fresh:
        return Difference(why="their newest epochs are not of the same time")
    pair = fresh[-1]
    trouble = _incomparable(pair, (a.is_track, b.is_track))
    if trouble:
        return Difference(why=trouble)
    first, second = _places(pair)
    return Difference(pair, "", rise(first, second, (a.is_track, b.is_track)), worth(pair))


def pairs(a: Side, b: Side, axis: Axis, since_s: float) -> Iterator[Pair]:
    """Epochs of the same instant that both have a position, oldest first, A's from `since_s` of its clock on."""
    others = sorted(_timed(b.samples, axis, is_b=True), key=_time)
    times = [moment for moment, _ in others]
    most_s = min(a.period_s, b.period_s) / 2 + ROUNDING_S
    for moment, one in _timed((one for one in a.samples if one.at_s >= since_s), axis, is_b=False):
        at = _nearest(times, moment)
        if at is not None and abs(times[at] - moment) <= most_s:
            yield _pair(one, others[at][1], round(times[at] - moment, 4))


def history(a: Side, b: Side, axis: Axis, since_s: float) -> list[tuple[float, float | None]]:
    """When, on A's clock, and how far apart, oldest first; None begins a gap: nothing may be drawn across."""
    found: list[tuple[float, float | None]] = []
    longest_s = MISSED_PERIODS * max(a.period_s, b.period_s)
    for pair in pairs(a, b, axis, since_s):
        if _incomparable(pair, (a.is_track, b.is_track)):
            continue
        if found and pair.a.at_s - found[-1][0] > longest_s:
            found.append((found[-1][0], None))
        found.append((pair.a.at_s, pair.offset.distance_m))
    return found


def worth(pair: Pair) -> Worth:
    """What both errors and the time between the two epochs make of it."""
    a, b = _places(pair)
    known = [place.error.horizontal_m for place in (a, b)]
    if known[0] is None or known[1] is None:
        silent = " and ".join(letter for letter, one in zip("AB", known, strict=True) if one is None)
        return Worth(None, f"the error of {silent} cannot be estimated")
    speed = max((one.speed_mps for one in (pair.a, pair.b) if one.speed_mps is not None), default=None)
    if pair.apart_s and speed is None:
        return Worth(None, f"{abs(pair.apart_s):.1f} s between their epochs, and no speed told")
    return Worth(ground_radius_ratio(known[0], known[1]) + abs(pair.apart_s) * (speed or 0.0))


class Used(NamedTuple):
    """Satellites in the fix of A alone, of B alone, of both, sorted by name."""

    a_only: tuple[str, ...]
    b_only: tuple[str, ...]
    both: tuple[str, ...]


def used_by(a: Iterable[str], b: Iterable[str]) -> Used:
    """Who uses which."""
    first, second = frozenset(a), frozenset(b)
    return Used(*(tuple(sorted(names)) for names in (first - second, second - first, first & second)))


def _places(pair: Pair) -> tuple[Place, Place]:
    assert pair.a.place is not None
    assert pair.b.place is not None
    return pair.a.place, pair.b.place


def _pair(a: Sample, b: Sample, apart_s: float) -> Pair:
    assert a.place is not None
    assert b.place is not None
    return Pair(a, b, apart_s, offset(a.place.position, b.place.position))


def _incomparable(pair: Pair, tracks: tuple[bool, bool]) -> str:
    places = _places(pair)
    for letter, place, is_track in zip("AB", places, tracks, strict=True):
        if place.mode not in SATELLITE_FIX_MODES and not is_track:
            return f"{letter}'s position {_NOT_MEASURED.get(place.mode, 'is no satellite fix')}"
    if None not in (data := [place.datum for place in places]) and data[0] != data[1]:
        return f"A's datum is {data[0]}, B's {data[1]}: not the same earth"
    return ""


def _timed(samples: Iterable[Sample], axis: Axis, *, is_b: bool) -> Iterator[tuple[float, Sample]]:
    """Epochs with a position, each with its time on the common axis, seconds. By UTC, those that tell none are out."""
    for one in samples:
        if one.place is None:
            continue
        if axis.basis is not Basis.UTC:
            yield one.at_s - (axis.offset_s if is_b else 0.0), one
        elif one.place.utc is not None and one.place.utc.day is not None:
            day = one.place.utc.day.toordinal() + (axis.days if is_b else 0)
            yield (day * MS_PER_DAY + one.place.utc.time_ms) / 1000, one


def _time(timed: tuple[float, Sample]) -> float:
    return timed[0]


def _nearest(times: list[float], moment: float) -> int | None:
    """Where the one that is nearest stands, the earlier of two that are equally near; None of none."""
    at = bisect_left(times, moment)
    near = [one for one in (at - 1, at) if 0 <= one < len(times)]
    return min(near, key=lambda one: abs(times[one] - moment), default=None)
