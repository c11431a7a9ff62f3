"""Fixes that jumped away and came back: found beside their neighbours, so that slow wandering is not called a fault.

Each fix is held against the median of the thirty-one around it in time. What is left there of a slow error is small; of
a jump of a few epochs it is all. The usual size of what is left is taken by its median, which half of the fixes could
not spoil.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from core.accuracy import median

NEIGHBOURS = 31
"""A jump of up to fifteen fixes stands out; a longer one is where the receiver believes to be."""
TIMES = 7.0
"""Times the median size of what is left. Of normal noise on two axes less than one in a million is beyond (median 1.18
sigma, so 8.2 sigma): wide, since near an edge of a group of neighbours a wandering error leaves more."""
LEAST_M = 0.5
"""Nearer to its neighbours nothing is an outlier: positions come in steps of up to 0.2 m (common practice, no
source)."""


def outliers(east_m: Sequence[float], north_m: Sequence[float]) -> tuple[int, ...]:
    """Their indexes, in order. Two of the same length, in the order of time."""
    left = [math.hypot(e, n) for e, n in zip(_beside(east_m), _beside(north_m), strict=True)]
    limit = max(LEAST_M, TIMES * (median(left) or 0.0))
    return tuple(index for index, distance in enumerate(left) if distance > limit)


def _beside(values: Sequence[float]) -> list[float]:
    """What is left of each beside its neighbours, those of its group: a running median would cost ten times as much."""
    found: list[float] = []
    for begin in range(0, len(values), NEIGHBOURS):
        group = list(values[begin : begin + NEIGHBOURS])
        # A short rest at the end looks back into the group before it.
        middle = median(group if len(group) > NEIGHBOURS // 2 else list(values[-NEIGHBOURS:])) or 0.0
        found.extend(value - middle for value in group)
    return found
