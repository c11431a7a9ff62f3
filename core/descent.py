"""What goes down on a way, by the slope on which it lies: Langmuir's corrections ask for it (`core.pace`)."""

from __future__ import annotations

import math
from typing import NamedTuple

STEEP_DEG = 12.0
"""From 5 degrees to this descent is quicker than level ground, beyond it slower (trade-facts.md f, S42)."""


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


def least_steep(way_m: float, descent_m: float) -> Descent:
    """A descent of unknown slopes: steep is what a slope of 12 degrees over all of the way cannot hold."""
    steep_m = max(0.0, descent_m - way_m * math.tan(math.radians(STEEP_DEG)))
    return Descent(easy_m=descent_m - steep_m, steep_m=steep_m)
