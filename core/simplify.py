"""Fewer places for the same way, none of them far from it.

Places nearer than 2 m to the last are dropped first: heaps at rest. Then each 50 m of the way are thinned by themselves
after Douglas and Peucker (1973), so that no place left is farther from the next than it should be, and the time grows
with the number of places only. Where that leaves too many, again with twice the figures.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from core.samples import Xyz

LEAST_STEP_M = 2.0
TOLERANCE_M = 5.0
"""What a walker's receiver is off by, 95 % (trade-facts.md g, common practice)."""
SPACING_M = 50.0
MOST_LEFT = 4000
"""A straight way of 200 km at that spacing."""
_MOST_DOUBLINGS = 6
"""To 320 m and 3.2 km: what is still too much then is no way that anybody walked."""


class Spot(NamedTuple):
    """One place of a way that is simplified."""

    xyz: Xyz
    number: int
    """Whatever the caller knows it by."""
    must_stay: bool = False
    """An end of a gap: the way there is not known, and nothing across it is dropped."""


def simplified(way: Sequence[Spot]) -> list[Spot]:
    """The places that are enough, first and last always among them; at most `MOST_LEFT`."""
    left = list(_stepped(way))
    for doubling in range(_MOST_DOUBLINGS + 1):
        left = _once(left, 2**doubling)
        if len(left) <= MOST_LEFT:
            return left
    return [*left[: -1 : math.ceil(len(left) / (MOST_LEFT - 1))], left[-1]]


def corners(way: Sequence[Spot], tolerance_m: float) -> list[int]:
    """Indices between first and last that the way cannot do without: none left out is farther from what is left.

    Square in the number of places at worst: for a few hundred at a time.
    """
    return sorted(_corners(way, (0, len(way) - 1), tolerance_m))


def _stepped(way: Sequence[Spot]) -> Iterator[Spot]:
    """Without heaps; the last place stays, wherever it is."""
    last: Xyz | None = None
    for spot in way:
        if last is None or spot.must_stay or math.dist(last, spot.xyz) >= LEAST_STEP_M:
            yield spot
            last = spot.xyz
    if way and last != way[-1].xyz:
        yield way[-1]


def _once(way: Sequence[Spot], times: int) -> list[Spot]:
    keep: list[Spot] = []
    for first, last in _chunks(way, SPACING_M * times):
        keep.append(way[first])
        keep.extend(way[number] for number in sorted(_corners(way, (first, last), TOLERANCE_M * times)))
    return [*keep, *way[-1:]]


def _chunks(way: Sequence[Spot], spacing_m: float) -> Iterator[tuple[int, int]]:
    """First and last index of pieces no longer than that, or of one step; they end where a place must stay."""
    first, length_m = 0, 0.0
    for number in range(1, len(way)):
        step_m = math.dist(way[number - 1].xyz, way[number].xyz)
        if number - 1 > first and (length_m + step_m > spacing_m or way[number - 1].must_stay):
            yield first, number - 1
            first, length_m = number - 1, 0.0
        length_m += step_m
    if len(way) > 1:
        yield first, len(way) - 1


def _corners(way: Sequence[Spot], chunk: tuple[int, int], tolerance_m: float) -> list[int]:
    """Indices between the ends of a chunk that the way cannot do without."""
    found, open_ = [], [chunk]
    while open_:
        first, last = open_.pop()
        if last - first < 2:
            continue
        off_m, number = _farthest(way, first, last)
        if off_m > tolerance_m:
            found.append(number)
            open_ += [(first, number), (number, last)]
    return found


def _farthest(way: Sequence[Spot], first: int, last: int) -> tuple[float, int]:
    """How far the way leaves the chord between two of its places, and where."""
    (ax, ay, az), b = way[first].xyz, way[last].xyz
    ux, uy, uz = b[0] - ax, b[1] - ay, b[2] - az
    squared = ux * ux + uy * uy + uz * uz
    most, found = -1.0, first
    for number in range(first + 1, last):
        x, y, z = way[number].xyz
        x, y, z = x - ax, y - ay, z - az
        share = min(1.0, max(0.0, (ux * x + uy * y + uz * z) / squared)) if squared else 0.0
        off = (x - share * ux) ** 2 + (y - share * uy) ** 2 + (z - share * uz) ** 2
        if off > most:
            most, found = off, number
    return math.sqrt(max(0.0, most)), found
