"""Receivers whose scatter says nothing of their error: they hold their position, or write it in coarse steps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

HELD = "the receiver holds its position still, or writes it in coarse steps: its scatter says nothing of its error"
LEAST_DIFFERENT = 8
"""Different positions, on each axis: fewer are a receiver that holds its position, or steps too coarse to show
scatter."""
MOST_STILL, LEAST_STILL = 0.2, 30
"""Nor does a receiver show its error that stood on one and the same position for a fifth of the time, so many fixes or
more. Wandering errors leave a step of 0.18 m within seconds, even small ones; a receiver told to hold its position
while it does not move keeps it for minutes (common practice, no source)."""
SAME_M = 1e-4
"""A tenth of a millimetre: less than the last digit of any receiver, more than what reckoning leaves."""


def holds_still(east_m: Sequence[float], north_m: Sequence[float]) -> bool:
    """Whether their scatter says nothing of the error; false of a few fixes, where nobody can tell."""
    if len(east_m) < LEAST_DIFFERENT:
        return False
    most = max(LEAST_STILL, MOST_STILL * len(east_m))
    return is_coarse(east_m) or is_coarse(north_m) or _longest_still(east_m, north_m) >= most


def is_coarse(values: Iterable[float]) -> bool:
    """Whether there are fewer than `LEAST_DIFFERENT`; stops looking at so many."""
    seen: set[int] = set()
    for value in values:
        seen.add(round(value / SAME_M))
        if len(seen) >= LEAST_DIFFERENT:
            return False
    return True


def _longest_still(east_m: Sequence[float], north_m: Sequence[float]) -> int:
    """Most fixes in a row on one and the same position."""
    longest = begin = 0
    for at, ((e, n), (later_e, later_n)) in enumerate(pairwise(zip(east_m, north_m, strict=True)), 1):
        if abs(later_e - e) >= SAME_M or abs(later_n - n) >= SAME_M:
            longest, begin = max(longest, at - begin), at
    return max(longest, len(east_m) - begin)
