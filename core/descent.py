"""What goes down on a way, by the slope on which it lies: Langmuir's corrections ask for it (`core.pace`)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from core.places.geodesic import distance_m
from core.track import TrackPoint, TrackView

GENTLE_DEG, STEEP_DEG = 5.0, 12.0
"""Between them descent is quicker than level ground, beyond the second slower (trade-facts.md f, S42)."""
SECTION_M = 200.0
"""Slopes are told over this length: errors of height of 5 m at both ends make 2 degrees of it (calc)."""


class Descent(NamedTuple):
    """Metres of descent by the slope on which they lie."""

    easy_m: float = 0.0
    """Under 5 degrees."""
    gentle_m: float = 0.0
    """5 to 12 degrees."""
    steep_m: float = 0.0

    @property
    def total_m(self) -> float:
        """All of it."""
        return self.easy_m + self.gentle_m + self.steep_m


NO_DESCENT = Descent()


def descent_back(view: TrackView) -> Descent | None:
    """What goes down on the way back along a track, by slope; None where heights are missing.

    From the net rise of sections of 200 m: what goes up and down within one does not count.
    """
    found = [0.0, 0.0, 0.0]
    known = False
    for length_m, rise_m in _sections(view.points[: view.count]):
        if rise_m is None:
            return None
        known = True
        slope_deg = math.degrees(math.atan2(rise_m, length_m))
        found[(slope_deg >= GENTLE_DEG) + (slope_deg > STEEP_DEG)] += max(0.0, rise_m)
    return Descent(*found) if known else None


def least_steep(way_m: float, descent_m: float) -> Descent:
    """A descent of unknown slopes: steep is what a slope of 12 degrees over all of the way cannot hold."""
    steep_m = max(0.0, descent_m - way_m * math.tan(math.radians(STEEP_DEG)))
    return Descent(easy_m=descent_m - steep_m, steep_m=steep_m)


def _sections(points: Sequence[TrackPoint]) -> Iterator[tuple[float, float | None]]:
    """Length and net rise of one piece of the track after the other; none reaches across a gap."""
    first, length_m = 0, 0.0
    for number in range(1, len(points)):
        if points[number].begins:
            first, length_m = number, 0.0
            continue
        length_m += distance_m(points[number - 1].position, points[number].position)
        if length_m >= SECTION_M:
            yield length_m, _rise_m(points[first].altitude_m, points[number].altitude_m)
            first, length_m = number, 0.0


def _rise_m(low_m: float | None, high_m: float | None) -> float | None:
    if low_m is None or high_m is None or not math.isfinite(high_m - low_m):
        return None
    return high_m - low_m
