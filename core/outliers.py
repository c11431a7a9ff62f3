"""Fixes that jumped away and came back: found beside their neighbours, so that slow wandering is not called a fault.

Each fix is held against the median of the thirty-one of its group, in the order of time. What is left there of a slow
error is small; of a jump of a few epochs it is all. The usual size of what is left is taken by its median, which half
of the fixes could not spoil. What stands out so is held against those before and those after it as well: who stays
where the position went has moved with it, and is no outlier.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence

from core.accuracy import median

NEIGHBOURS = 31
"""A jump of up to fifteen fixes stands out; a longer one is where the receiver believes to be."""
SIDE = NEIGHBOURS // 2
TIMES = 7.0
"""Times the median size of what is left. Of normal noise on two axes less than one in a million is beyond (median 1.18
sigma, so 8.2 sigma), on one axis three (0.67 and 4.7): wide, since near an edge of a group of neighbours a wandering
error leaves more."""
LEAST_MOVED = 0.1
"""A share of the fixes: fewer that differ from their neighbours may all be jumps."""
LEAST_M = 0.5
"""Nearer to its neighbours nothing is an outlier: positions come in steps of up to 0.2 m (common practice, no
source)."""


def outliers(*axes: Sequence[float]) -> tuple[int, ...]:
    """Their indexes, in order. Values in metres along one axis or several, equally many, in the order of time."""
    left = list(map(math.hypot, *map(_beside, axes)))
    limit = max(LEAST_M, TIMES * _usual(left))
    near = [index for index, distance in enumerate(left) if distance <= limit]
    far = (index for index, distance in enumerate(left) if distance > limit)
    return tuple(index for index in far if _is_apart(index, near, axes, limit))


def _usual(left: Sequence[float]) -> float:
    """Of a receiver that keeps its position for a while most is nothing: then those that moved tell the size."""
    moved = [distance for distance in left if distance > 0.0]
    return median(moved if len(moved) > LEAST_MOVED * len(left) else list(left)) or 0.0


def _is_apart(index: int, near: Sequence[int], axes: Sequence[Sequence[float]], limit: float) -> bool:
    """Whether it is far from the nearest of those that do not stand out: those before, and those after."""
    at = bisect_left(near, index)
    for side in (near[max(0, at - SIDE) : at], near[at : at + SIDE]):
        if side and math.hypot(*(axis[index] - (median([axis[i] for i in side]) or 0.0) for axis in axes)) <= limit:
            return False
    return True


def _beside(values: Sequence[float]) -> list[float]:
    """What is left of each beside its neighbours, those of its group: a running median would cost ten times as much."""
    found: list[float] = []
    for begin in range(0, len(values), NEIGHBOURS):
        group = values[begin : begin + NEIGHBOURS]
        # A short rest at the end looks back into the group before it.
        ordered = sorted(group if len(group) > SIDE else values[-NEIGHBOURS:])
        middle = ordered[len(ordered) // 2]
        found.extend(value - middle for value in group)
    return found
