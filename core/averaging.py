"""Averaging the fixes of one spot, and saying honestly what the mean is worth.

Errors of a receiver remember: ten minutes at 1 Hz are not six hundred measurements. Sigma over the root of the number
claims a decimetre after ten minutes, which is fiction (trade-facts.md c, S22 there). Here the memory is estimated from
the data themselves (`core.mean_error`), and where they are too short to show it no interval is stated.

It is the random part only. What never averages out: a wrong datum, reflections that stay, where the antenna stands,
the geoid's error in heights, and the wrong mark.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from core.accuracy import P95_OVER_SIGMA, median, r95
from core.mean_error import MeanError, mean_error
from core.memory_models import mean_variance
from core.outliers import outliers
from core.scatter import DEFINITIONS, Spread, VerticalSpread, spread_of, vertical_spread_of

BLOCKS = 400
"""Means of equal stretches of time that stand for all fixes: what is faster than two of them says nothing of the
mean."""
SHORT, MOST_SHORT = 6.0, 0.35
"""An interval is stated unless the observation may well (35 %) be shorter than six correlation times. Found by
experiment: of series of three correlation times 93 in 100 are declined or covered (83 are declined), of ten 8 in 10 are
answered, of thirty all (tests/core/test_averaging_coverage.py)."""
LEAST_DIFFERENT = 8
"""Different positions, on each axis: fewer are a receiver that holds its position, or steps too coarse to show
scatter."""
LONGEST_STEP = 3.0
"""Times the usual interval between two fixes: more is a gap, in which nothing was covered."""
WAITS_S = (600.0, 1800.0, 3600.0, 14_400.0, 86_400.0)
"""Ten minutes to a day, which is a full turn of the constellation (trade-facts.md c)."""

__all__ = ["DEFINITIONS", "Centre", "Gain", "SiteAverage", "SiteSample", "Spread", "VerticalSpread", "average"]


class SiteSample(NamedTuple):
    """One fix, in metres from a point nearby."""

    t_s: float
    east_m: float
    north_m: float
    up_m: float | None


class Centre(NamedTuple):
    """The mean of the fixes that count, in metres from the same point."""

    east_m: float
    north_m: float
    up_m: float | None


class Gain(NamedTuple):
    """What waiting would bring, by the same estimate."""

    more_s: float
    horizontal_95_m: float


@dataclass(frozen=True, slots=True)
class SiteAverage:
    """What the fixes of one spot come to."""

    count: int
    """All fixes given, outliers included."""
    duration_s: float
    """Covered by fixes: gaps are left out."""
    centre: Centre | None = None
    """None of no fix."""
    spread: Spread | None = None
    """Of single fixes; None of fewer than two."""
    vertical: VerticalSpread | None = None
    correlation_s: float | None = None
    """How long an error remembers itself: it falls by e in this time."""
    effective_count: float | None = None
    """As many independent fixes would tell as much."""
    horizontal_95_m: float | None = None
    """The mean is within this radius of the truth with 95 %, as far as chance goes."""
    vertical_95_m: float | None = None
    declined: str = ""
    """Why no interval is stated, and what would help; empty where one is."""
    naive_95_m: float | None = None
    """What sigma over the root of the number would claim."""
    outliers: tuple[int, ...] = ()
    """Indexes of fixes that are left out of centre and scatter."""
    waiting: tuple[Gain, ...] = ()


NO_AVERAGE = SiteAverage(0, 0.0, declined="no fix yet")


def average(samples: Sequence[SiteSample]) -> SiteAverage:
    """Of fixes in the order of time; those that are no numbers, or go back in time, are passed over as outliers."""
    sound = _sound(samples)
    if not sound:
        return NO_AVERAGE if not samples else SiteAverage(len(samples), 0.0, declined="no usable figure yet")
    kept, left_out = _kept(samples, sound)
    clock_s, duration_s = _covered([samples[index].t_s for index in kept])
    east = _Axis.of([samples[index].east_m for index in kept])
    north = _Axis.of([samples[index].north_m for index in kept])
    heights = [(index, at) for index, at in zip(kept, clock_s, strict=True) if samples[index].up_m is not None]
    up = _Axis.of([samples[index].up_m or 0.0 for index, _ in heights]) if heights else None
    found = _Found(len(samples), duration_s, clock_s, (east, north), up, [at for _, at in heights])
    return _stated(found, left_out)


class _Axis(NamedTuple):
    mean_m: float
    about: list[float]
    """Metres from the mean."""

    @classmethod
    def of(cls, values: Sequence[float]) -> _Axis:
        mean = math.fsum(values) / len(values)
        return cls(mean, [value - mean for value in values])


class _Found(NamedTuple):
    """What the figures are worked out from."""

    given: int
    duration_s: float
    clock_s: list[float]
    level: tuple[_Axis, _Axis]
    up: _Axis | None
    up_clock_s: list[float]


def _sound(samples: Sequence[SiteSample]) -> list[int]:
    """Indexes of those with finite figures, at times that go on."""
    found: list[int] = []
    last_s = -math.inf
    for index, one in enumerate(samples):
        level = math.isfinite(one.t_s) and math.isfinite(one.east_m) and math.isfinite(one.north_m)
        if level and one.t_s > last_s and (one.up_m is None or math.isfinite(one.up_m)):
            found.append(index)
            last_s = one.t_s
    return found


def _kept(samples: Sequence[SiteSample], sound: list[int]) -> tuple[list[int], tuple[int, ...]]:
    """Indexes of what counts, and of what does not."""
    jumped = {sound[at] for at in outliers([samples[i].east_m for i in sound], [samples[i].north_m for i in sound])}
    kept = [index for index in sound if index not in jumped] or sound
    counted = set(kept)
    return kept, tuple(index for index in range(len(samples)) if index not in counted)


def _covered(times_s: Sequence[float]) -> tuple[list[float], float]:
    """A clock that stands in gaps, and how long it ran: the last fix counts for a usual interval like every other."""
    steps = [later - earlier for earlier, later in pairwise(times_s)]
    usual_s = median(steps) or 0.0
    clock_s = [0.0]
    for step in steps:
        clock_s.append(clock_s[-1] + (step if step <= LONGEST_STEP * usual_s else usual_s))
    return clock_s, clock_s[-1] + usual_s


def _stated(found: _Found, left_out: tuple[int, ...]) -> SiteAverage:
    east, north = found.level
    centre = Centre(east.mean_m, north.mean_m, found.up.mean_m if found.up else None)
    vertical = vertical_spread_of(found.up.about) if found.up else None
    plain = SiteAverage(found.given, found.duration_s, centre, None, vertical, outliers=left_out)
    if len(east.about) < 2:
        return _with(plain, declined="one fix is no average: wait some minutes")
    spread = spread_of(east.about, north.about)
    root = math.sqrt(len(east.about))
    naive = r95(spread.sigma_east_m / root, spread.sigma_north_m / root)
    return _with_interval(_with(plain, spread=spread, naive_95_m=naive), found)


def _with_interval(plain: SiteAverage, found: _Found) -> SiteAverage:
    held = _holds_still(found.level)
    if held:
        return _with(plain, declined=held, naive_95_m=None)
    error = mean_error([_blocks(found.clock_s, axis.about, found.duration_s) for axis in found.level])
    if error is None:
        return _with(plain, declined="too few fixes to show how long their errors last: wait some minutes")
    length = error.length
    told = _with(plain, correlation_s=found.duration_s / length, effective_count=1.0 / mean_variance(length))
    if error.shorter_than(SHORT) > MOST_SHORT:
        return _with(told, declined=_too_short(found.duration_s, length))
    waiting = tuple(Gain(more, _radius(error, 1.0 + more / found.duration_s)) for more in WAITS_S)
    return _with(told, horizontal_95_m=_radius(error, 1.0), vertical_95_m=_vertical_95_m(found), waiting=waiting)


def _holds_still(level: tuple[_Axis, _Axis]) -> str:
    """A reason, where the scatter says nothing of the error."""
    different = min(len({round(value, 4) for value in axis.about}) for axis in level)
    enough = len(level[0].about) >= LEAST_DIFFERENT
    if different >= LEAST_DIFFERENT or not enough:
        return ""
    return "the receiver holds its position still, or writes it in coarse steps: its scatter says nothing of its error"


def _too_short(duration_s: float, length: float) -> str:
    lasts_s = duration_s / length
    more_s = max(60.0, 10.0 * lasts_s - duration_s)
    return f"too short: errors seem to last {_span(lasts_s)}, and may last longer. About {_span(more_s)} more would do"


def _span(seconds: float) -> str:
    """Roughly, in words."""
    if seconds < 90.0:
        return f"{seconds:.0f} s"
    minutes = math.ceil(seconds / 60.0)
    return f"{minutes} min" if minutes < 120 else f"{round(minutes / 60)} h"


def _vertical_95_m(found: _Found) -> float | None:
    """Heights by themselves: their errors may last longer than those of the place."""
    if found.up is None or len(found.up.about) < len(found.clock_s) // 2 or _holds_still((found.up, found.up)):
        return None
    error = mean_error([_blocks(found.up_clock_s, found.up.about, found.duration_s)])
    if error is None or error.shorter_than(SHORT) > MOST_SHORT:
        return None
    return error.half_95()


def _radius(error: MeanError, times_as_long: float) -> float:
    return r95(*(error.half_95(axis, times_as_long) / P95_OVER_SIGMA for axis in (0, 1)))


def _blocks(clock_s: Sequence[float], values: Sequence[float], duration_s: float) -> list[float]:
    """Means of equal stretches of the covered time; a stretch without a fix is as the one before."""
    count = max(1, min(BLOCKS, len(values)))
    sums, counts = [0.0] * count, [0] * count
    for at_s, value in zip(clock_s, values, strict=True):
        number = min(count - 1, int(at_s / duration_s * count)) if duration_s > 0.0 else 0
        sums[number] += value
        counts[number] += 1
    means: list[float] = []
    for total, many in zip(sums, counts, strict=True):
        means.append(total / many if many else (means[-1] if means else 0.0))
    return means


def _with(plain: SiteAverage, **more: object) -> SiteAverage:
    return replace(plain, **more)  # type: ignore[arg-type]  # checked by dataclasses.replace at run time
