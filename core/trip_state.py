"""What a trip has counted, and how it is kept for the next start: JSON out, and hostile JSON in."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any, NamedTuple

from core.ascent import Climbed
from core.errors import InputError
from core.fix import Utc

VERSION = 1
MOST_LEGS = 1000
"""More than anybody presses the key; a file that has more is none of ours."""
MOST = 1e12
"""Beyond it a figure is none, in metres or seconds."""
LAST_MS = 86_400_999


class Sums(NamedTuple):
    """All that was ever counted. Nothing here falls, but for time counted over from moving to stopped and back."""

    distance_m: float
    moving_s: float
    stopped_s: float
    gap_s: float
    gaps: int
    jumps: int
    climbed: Climbed


NO_SUMS = Sums(0.0, 0.0, 0.0, 0.0, 0, 0, Climbed())


@dataclass(slots=True)
class Leg:
    """What is counted from a mark on."""

    since: Sums = NO_SUMS
    began: Utc | None = None
    fastest_mps: float | None = None
    """Within this leg."""


class State(NamedTuple):
    """All that is kept."""

    sums: Sums
    legs: list[Leg]
    """Oldest first; the last is under way."""
    before: list[Leg] | None
    """Those of the trip before the reset."""
    last: Utc | None
    """Of the newest usable fix."""


def as_json(state: State) -> dict[str, Any]:
    """An object that JSON can hold; `from_json` reads it."""
    return {
        "version": VERSION,
        "sums": _flat(state.sums),
        "legs": [_leg_out(leg) for leg in state.legs],
        "before": None if state.before is None else [_leg_out(leg) for leg in state.before],
        "last": _utc_out(state.last),
    }


def from_json(found: Mapping[str, Any]) -> State:
    """Raises InputError where it is not what `as_json` wrote."""
    try:
        _check_version(found["version"])
        before = None if found["before"] is None else _legs_in(found["before"])
        state = State(_sums_in(found["sums"]), _legs_in(found["legs"]), before, _utc_in(found["last"]))
        _check_order(state)
    except (KeyError, TypeError, ValueError, OverflowError) as error:
        raise InputError("the saved totals of the trip cannot be read: they begin anew, the track stays") from error
    return state


def _check_version(found: Any) -> None:
    if found != VERSION:
        raise ValueError("version")


def _flat(sums: Sums) -> list[float]:
    return [*sums[:6], *sums.climbed]


def _sums_in(found: Any) -> Sums:
    distance_m, moving_s, stopped_s, gap_s = (_figure(one) for one in found[:4])
    gaps, jumps = (_count(one) for one in found[4:6])
    low_up, high_up, low_down, high_down = (_figure(one) for one in found[6:10])
    (known,) = found[10:]
    if not isinstance(known, bool):
        raise TypeError("known")
    climbed = Climbed(low_up, high_up, low_down, high_down, known)
    return Sums(distance_m, moving_s, stopped_s, gap_s, gaps, jumps, climbed)


def _leg_out(leg: Leg) -> dict[str, Any]:
    return {"since": _flat(leg.since), "began": _utc_out(leg.began), "fastest_mps": leg.fastest_mps}


def _legs_in(found: Any) -> list[Leg]:
    if not isinstance(found, list) or not 0 < len(found) <= MOST_LEGS:
        raise ValueError("legs")
    return [_leg_in(one) for one in found]


def _leg_in(found: Mapping[str, Any]) -> Leg:
    fastest = found["fastest_mps"]
    return Leg(_sums_in(found["since"]), _utc_in(found["began"]), None if fastest is None else _figure(fastest))


def _utc_out(utc: Utc | None) -> list[Any] | None:
    return None if utc is None else [utc.time_ms, utc.day.isoformat() if utc.day else None]


def _utc_in(found: Any) -> Utc | None:
    if found is None:
        return None
    time_ms, day = found
    if _count(time_ms) > LAST_MS:
        raise ValueError("time")
    return Utc(time_ms, None if day is None else date.fromisoformat(day))


def _figure(value: Any) -> float:
    """NaN is none: it compares false."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value <= MOST:
        raise ValueError("figure")
    return float(value)


def _count(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= MOST:
        raise ValueError("count")
    return value


def _check_order(state: State) -> None:
    """No leg may have counted less than nothing."""
    marks = [leg.since for leg in (*(state.before or ()), *state.legs)] + [state.sums]
    for earlier, later in pairwise(marks):
        if any(b < a and not math.isclose(a, b) for a, b in zip(_flat(earlier), _flat(later), strict=True)):
            raise ValueError("order")
