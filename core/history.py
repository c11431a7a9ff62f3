"""The last epochs, and from them the newest of every value with its age.

Values do not come equally often: a receiver may send its position ten times a second, its height once and its
satellites every five seconds. So each value ages by its own usual interval, which is learned here.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Any, NamedTuple

from core.aged import Aged
from core.fix import NO_FIX, Fix, FixMode, Position, PseudorangeNoise, Utc

EPOCHS_KEPT = 300
"""Thirty seconds at 10 Hz: room for values that come every ten seconds."""
USUAL_PERIOD_S = 1.0
"""Assumed until two epochs are known: nearly every receiver starts at 1 Hz (common practice, no source)."""


class Moment(NamedTuple):
    """An epoch's Fix and when its first sentence arrived."""

    fix: Fix
    at_s: float


class Mode(NamedTuple):
    """How the position came about, and in how many dimensions."""

    mode: FixMode
    dimensions: int | None


class Height(NamedTuple):
    """Above mean sea level, and the geoid separation that belongs to it."""

    altitude_m: float
    geoid_separation_m: float | None


class Dops(NamedTuple):
    """Dilution of precision as the receiver reports it."""

    hdop: float
    pdop: float | None
    vdop: float | None


class Values(NamedTuple):
    """The newest of each value; None where the kept epochs have none."""

    utc: Aged[Utc] | None = None
    position: Aged[Position] | None = None
    mode: Aged[Mode] | None = None
    height: Aged[Height] | None = None
    speed_mps: Aged[float] | None = None
    course_deg: Aged[float] | None = None
    heading_deg: Aged[float] | None = None
    dops: Aged[Dops] | None = None
    in_fix: Aged[int] | None = None
    noise: Aged[PseudorangeNoise] | None = None
    correction_age_s: Aged[float] | None = None
    used: Aged[frozenset[str]] | None = None
    """Names of the satellites last listed as used; empty while the receiver says void."""


NO_VALUES = Values()


def _used(fix: Fix) -> frozenset[str] | None:
    if fix.position is None:
        return frozenset() if fix.told else None
    return frozenset(fix.used) if fix.used else None


def _height(fix: Fix) -> Height | None:
    return None if fix.altitude_m is None else Height(fix.altitude_m, fix.geoid_separation_m)


def _dops(fix: Fix) -> Dops | None:
    return None if fix.hdop is None else Dops(fix.hdop, fix.pdop, fix.vdop)


_PICK: dict[str, Callable[[Fix], Any]] = {
    "utc": lambda fix: fix.utc,
    "position": lambda fix: fix.position,
    "mode": lambda fix: Mode(fix.mode, fix.dimensions) if fix.told else None,
    "height": _height,
    "speed_mps": lambda fix: fix.speed_mps,
    "course_deg": lambda fix: fix.course_deg,
    "heading_deg": lambda fix: fix.heading_deg,
    "dops": _dops,
    "in_fix": lambda fix: fix.satellites_in_fix,
    "noise": lambda fix: fix.noise,
    "correction_age_s": lambda fix: fix.correction_age_s,
    "used": _used,
}


class History:
    """A bounded memory of finished epochs, oldest first."""

    def __init__(self) -> None:
        self._moments: deque[Moment] = deque(maxlen=EPOCHS_KEPT)

    def add(self, moment: Moment) -> None:
        """Append a finished epoch."""
        self._moments.append(moment)

    def copy(self) -> History:
        """The same memory, to be kept while this one goes on."""
        other = History()
        other._moments = self._moments.copy()
        return other

    def newest_fix(self) -> Fix:
        """The newest finished epoch's Fix that says whether there is one, NO_FIX before the first."""
        return next((moment.fix for moment in reversed(self._moments) if moment.fix.told), NO_FIX)

    def values(self, open_moments: Iterable[Moment]) -> Values:
        """The newest of each value, `open_moments` (epochs not finished yet, oldest first) coming last."""
        newest_first = [*reversed(self._moments)]
        for moment in open_moments:
            newest_first.insert(0, moment)
        return Values(**{name: _newest(newest_first, pick) for name, pick in _PICK.items()})


def _newest(newest_first: list[Moment], pick: Callable[[Fix], Any]) -> Aged[Any] | None:
    """The first that `pick` finds, its period the median of the last three intervals between finds."""
    value: Any = None
    times: list[float] = []
    for moment in newest_first:
        found = pick(moment.fix)
        if found is None:
            continue
        if not times:
            value = found
        times.append(moment.at_s)
        if len(times) == 4:
            break
    if not times:
        return None
    intervals = sorted(later - earlier for later, earlier in pairwise(times))
    return Aged(value, times[0], (intervals[len(intervals) // 2] if intervals else 0.0) or USUAL_PERIOD_S)
