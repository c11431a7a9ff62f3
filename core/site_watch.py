"""Whether the receiver still stands where the averaging began: a mean of two places is the place of neither.

Two signs. It says itself that it moves, at a walk or faster, and its positions go along: it is being carried. Or all
its fixes of the last twenty seconds lie farther from the mean than scatter allows: it has been moved slowly, or the
positions have jumped (a reflection, interference), and then they may come back.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Collection
from typing import TYPE_CHECKING

from core.fix import FixMode

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.averaging import Centre, SiteAverage, SiteSample

MOVING_MPS = 1.0
"""From here on a receiver's speed is trusted (trade-facts.md b: 0.2 m/s, 95 %, a component; and `core.course`)."""
MOVING_S = 4.0
"""So long in a row. Our own choice: a single epoch of a wrong speed moves nobody."""
MOVED_M = 3.0
"""And at least so far meanwhile."""
AWAY_ERRORS = 2.0
"""Radii that hold 95 % of the errors: no wandering takes twenty seconds of fixes twice as far from the mean (with
normal errors a ring of 2 R95 is left once in 160,000 times; calculated)."""
LEAST_AWAY_M = 12.0
"""But never nearer than this: errors that wander for an hour are larger than the first minutes show and than many a
receiver states, and to leave out what wanders would make the mean surer than it is. One and a half times the 8 m of
the GPS SPS Performance Standard of 2020 (95 %, global average; from memory, not re-read)."""
LEAST_AWAY_RTK_M = {FixMode.RTK_FIXED: 0.5, FixMode.RTK_FLOAT: 3.0}
"""Those wander by centimetres and decimetres, and a mast sways (common practice, no source)."""
UNKNOWN_ERROR_M = 10.0
"""For receivers that tell nothing to estimate it by (our own choice: an ordinary fix in a fair sky)."""
LEAST_FIXES = 4
LEAST_KNOWN = 30
"""Samples before which the mean is nothing to be far from."""


class CarryWatch:
    """Takes a speed and a place at each fix."""

    def __init__(self) -> None:
        self._run: deque[SiteSample] = deque()

    def is_carried(self, sample: SiteSample, speed_mps: float | None) -> bool:
        """Whether the receiver has moved, by its own words and by its positions, for `MOVING_S` until now."""
        if speed_mps is None or speed_mps < MOVING_MPS:
            self._run.clear()
            return False
        self._run.append(sample)
        first = self._run[0]
        long_enough = sample.t_s - first.t_s >= MOVING_S
        far_enough = math.hypot(sample.east_m - first.east_m, sample.north_m - first.north_m) >= MOVED_M
        return long_enough and far_enough


def are_away(samples: Collection[SiteSample], known: SiteAverage | None, reach_m: float | None) -> bool:
    """Whether all of some fixes lie farther from the mean than `reach` allows. False where nobody can tell."""
    if known is None or known.centre is None or reach_m is None or len(samples) < LEAST_FIXES:
        return False
    return all(_distance_m(one, known.centre) > reach_m for one in samples)


def are_back(samples: Collection[SiteSample], known: SiteAverage | None, reach_m: float | None) -> bool:
    """The opposite: all of them lie within it."""
    if known is None or known.centre is None or reach_m is None or len(samples) < LEAST_FIXES:
        return False
    return all(_distance_m(one, known.centre) <= reach_m for one in samples)


def reach(known: SiteAverage | None, error_95_m: float | None, mode: FixMode) -> float | None:
    """How far from the mean fixes of the same spot may lie, metres; None before that can be told.

    `error_95_m` and `mode`: of the newest fix.
    """
    if known is None or known.count < LEAST_KNOWN:
        return None
    error_m = UNKNOWN_ERROR_M if error_95_m is None else error_95_m
    spread_m = known.spread.r95_m if known.spread else 0.0
    return max(LEAST_AWAY_RTK_M.get(mode, LEAST_AWAY_M), AWAY_ERRORS * max(spread_m, error_m))


def _distance_m(one: SiteSample, centre: Centre) -> float:
    return math.hypot(one.east_m - centre.east_m, one.north_m - centre.north_m)
