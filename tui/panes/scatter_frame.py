"""Which part of the ground the scatter shows. It stays until it no longer fits, or all of it would jump."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from core.averaging import SiteSample
from tui.canvas.grid import Dot

Spot = tuple[float, float]
"""Metres east and north of the first fix."""
_STEPS = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
_SMALLEST_POWER, _LARGEST_POWER = -4, 4
STEPS_M = tuple(step * 10.0**power for power in range(_SMALLEST_POWER, _LARGEST_POWER) for step in _STEPS)
"""Metres to the dot: from tenths of a millimetre, for receivers that hold still, to ten kilometres on a screen."""
LEAST_HALF_M = 0.01
"""A single fix has no size: two centimetres across are shown around it."""
SMALL, OFF_CENTRE = 0.55, 0.15
"""What is shown may shrink to this share of the half before the scale changes, and its middle wander by that."""


class ScatterFrame(NamedTuple):
    """A piece of ground in dots, dot 0 in the upper left corner."""

    middle: Spot
    metres_per_dot: float
    size: tuple[int, int]
    """Dots wide and high."""

    def dot(self, spot: Spot) -> Dot:
        """Where a spot lies, inside the frame or not."""
        x, y = (self.size[0] - 1) / 2, (self.size[1] - 1) / 2
        scale = 1 / self.metres_per_dot
        return x + (spot[0] - self.middle[0]) * scale, y - (spot[1] - self.middle[1]) * scale

    def dots(self, samples: Iterable[SiteSample]) -> list[Dot]:
        """The same for many samples."""
        x = (self.size[0] - 1) / 2 - self.middle[0] / self.metres_per_dot
        y = (self.size[1] - 1) / 2 + self.middle[1] / self.metres_per_dot
        scale = 1 / self.metres_per_dot
        return [(x + east * scale, y - north * scale) for _, east, north, _ in samples]

    def holds(self, dot: Dot) -> bool:
        """Whether a dot is inside."""
        return -0.5 <= dot[0] < self.size[0] - 0.5 and -0.5 <= dot[1] < self.size[1] - 0.5


def framed(kept: ScatterFrame | None, middle: Spot, half_m: float, size: tuple[int, int]) -> ScatterFrame:
    """A frame that shows `half_m` to all four sides of the middle; the kept one, the same object, while it serves."""
    half_dots = max(1.0, min(size) / 2 - 1)
    needed = max(half_m, LEAST_HALF_M) / half_dots
    if kept is not None and kept.size == size and _serves(kept, middle, needed):
        return kept
    step_m = next((step for step in STEPS_M if step >= needed), STEPS_M[-1])
    return ScatterFrame(middle, step_m, size)


def _serves(kept: ScatterFrame, middle: Spot, needed: float) -> bool:
    off_dots = math.dist(kept.middle, middle) / kept.metres_per_dot
    return SMALL * kept.metres_per_dot <= needed <= kept.metres_per_dot and off_dots <= OFF_CENTRE * min(kept.size) / 2
