"""Round figures along an axis, and where a value lies on it."""

from __future__ import annotations

import math
from typing import NamedTuple


class Axis(NamedTuple):
    """From values to a place between two ends."""

    low: float
    high: float
    """Above `low`."""
    start: float
    """Where `low` is drawn."""
    end: float
    """Where `high` is."""

    def at(self, value: float) -> float:
        """Where a value is drawn; what lies beyond an end is drawn there."""
        share = (value - self.low) / (self.high - self.low)
        return self.start + (self.end - self.start) * min(1.0, max(0.0, share))


def round_step(width: float, most: int) -> float:
    """The smallest of 1, 2, 5, 10, ... (or tenths of them) of which no more than so many fit in."""
    wanted = max(width / most, 1e-9)
    power = 10.0 ** math.floor(math.log10(wanted) + 1e-9)
    return next((figure * power for figure in (1.0, 2.0, 5.0) if figure * power >= wanted * (1 - 1e-9)), 10.0 * power)


def ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Round figures from one at or below `low` to one at or above `high`."""
    step = round_step(high - low, most)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [number * step for number in range(first, max(last, first + 1) + 1)]


def decimals(figures: list[float]) -> int:
    """How many they need to be told apart."""
    step = figures[1] - figures[0]
    return max(0, -math.floor(math.log10(step) + 1e-9))
