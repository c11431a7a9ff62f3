"""Averaging the fixes of one spot, and saying honestly what the mean is worth.

Errors of a receiver remember: ten minutes at 1 Hz are not six hundred measurements. Sigma over the root of the number
claims a decimetre after ten minutes, which is fiction (trade-facts.md c, S22 there). Here the memory is estimated from
the data themselves (`core.mean_error`), and where they are too short to show it no interval is stated.

It is the random part only. What never averages out: a wrong datum, reflections that stay, where the antenna stands,
the geoid's error in heights, and the wrong mark. Nor does an interval know of errors too slow to be seen: one of 1 min
with one as large of 20 min on top is covered 93 times in 100 after six hours, declined or covered so after three, but
covered only 6 times in 10 after one, and with one of 2 h on top 2 times in 10: in an hour it looks like 1 min alone
(200 simulated series each; real receivers do have much slower components, trade-facts.md c, S18 there). Hence the
advice to come again another day.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from core.accuracy import P95_OVER_SIGMA, median, r95
from core.mean_error import MeanError, mean_error
from core.memory_models import length_of, mean_variance
from core.outliers import outliers
from core.scatter import DEFINITIONS, Spread, VerticalSpread, spread_of, vertical_spread_of
from core.still import HELD, holds_still, is_coarse

BLOCKS = 400
"""Means of equal stretches of time that stand for all fixes: what is faster than two of them says nothing of the
mean."""
SHORT, MOST_SHORT = 6.0, 0.5
"""An interval is stated unless the observation is as likely as not shorter than six correlation times. Found by
experiment: of series of three correlation times 94 in 100 are declined or covered (77 are declined; of the others,
which look longer than they are, three in four are covered), of ten 87 are answered, 79 with as much white noise on top,
of thirty all (4,000 series of 400 fixes each; tests/core/test_averaging_coverage.py has others)."""
FARTHEST_M = 2.1e7
"""Half way round the earth, with something over: beyond it is no place."""
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
    """How long an error remembers itself: it falls by e in this time, if it is a first-order process. It is the time
    that counts for the mean: white noise on top makes it shorter, by its share in the scatter."""
    effective_count: float | None = None
    """As many independent fixes would tell as much: for many, `duration_s` over twice `correlation_s`."""
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
    """Of fixes in the order of time; those that are no place, or go back in time, are passed over as outliers."""
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
    """Indexes of those with figures that can be a place, at times that go on."""
    found: list[int] = []
    last_s = -math.inf
    for index, one in enumerate(samples):
        # Written so that what is no number fails every comparison.
        level = abs(one.east_m) <= FARTHEST_M and abs(one.north_m) <= FARTHEST_M
        if level and last_s < one.t_s < math.inf and (one.up_m is None or abs(one.up_m) <= FARTHEST_M):
            found.append(index)
            last_s = one.t_s
    return found


def _kept(samples: Sequence[SiteSample], sound: list[int]) -> tuple[list[int], tuple[int, ...]]:
    """Indexes of what counts, and of what does not."""
    level = outliers([samples[i].east_m for i in sound], [samples[i].north_m for i in sound])
    high = [(i, up_m) for i in sound if (up_m := samples[i].up_m) is not None]
    # A fix whose height alone jumped is not to be trusted either.
    jumped = {sound[at] for at in level} | {high[at][0] for at in outliers([up_m for _, up_m in high])}
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
    if holds_still(*(axis.about for axis in found.level)):
        return _with(plain, declined=HELD, naive_95_m=None)
    error = mean_error([_blocks(found.clock_s, axis.about, found.duration_s) for axis in found.level])
    if error is None:
        return _with(plain, declined="too few fixes to show how long their errors last: wait some minutes")
    if error.shorter_than(SHORT) > MOST_SHORT:
        return _declined(plain, error.length)
    variance = error.variance()
    drms_m = plain.spread.drms_m if plain.spread else 0.0
    # About their own mean the fixes scatter less than about the truth, by the variance of the mean.
    effective = min((drms_m**2 + variance) / variance, float(len(found.clock_s)))
    return _with(
        plain,
        correlation_s=found.duration_s / length_of(1.0 / effective),
        effective_count=effective,
        horizontal_95_m=_radius(error, 1.0),
        vertical_95_m=_vertical_95_m(found),
        waiting=tuple(Gain(more, _radius(error, 1.0 + more / found.duration_s)) for more in WAITS_S),
    )


def _declined(plain: SiteAverage, length: float) -> SiteAverage:
    """With what is seen of the wandering by itself: the share of white noise is not yet to be trusted."""
    return _with(
        plain,
        correlation_s=plain.duration_s / length,
        effective_count=1.0 / mean_variance(length),
        declined=_too_short(plain.duration_s, length),
    )


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
    if found.up is None or len(found.up.about) < len(found.clock_s) // 2 or is_coarse(found.up.about):
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
    ends = [bisect_left(clock_s, duration_s * number / count) for number in range(1, count)]
    means: list[float] = []
    for begin, end in pairwise((0, *ends, len(values))):
        means.append(math.fsum(values[begin:end]) / (end - begin) if end > begin else (means[-1] if means else 0.0))
    return means


def _with(plain: SiteAverage, **more: object) -> SiteAverage:
    return replace(plain, **more)  # type: ignore[arg-type]  # checked by dataclasses.replace at run time
