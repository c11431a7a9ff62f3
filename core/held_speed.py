"""The highest speed that was held: a single figure of a receiver may be anything."""

from __future__ import annotations

import math

FASTEST_MPS = 1000.0
"""Beyond it a figure is none: receivers for sale stop at 515 m/s (export rules, from memory)."""


class HeldSpeed:
    """Of three speeds in a row the lowest was held.

    That is for two seconds at least: a spike of one fix or two does not count, and the top of a shorter sprint
    is lost (common practice, no source).
    """

    def __init__(self) -> None:
        self._before: tuple[float | None, float | None] = (None, None)

    def begin(self) -> None:
        """After a break the row begins anew."""
        self._before = (None, None)

    def take(self, mps: float | None) -> float | None:
        """The speed of the next usable fix, metres a second; returns what was held over the last three, if anything.

        Without a speed the row goes on: some receivers tell it less often than the place.
        """
        if mps is None or not 0.0 <= mps <= FASTEST_MPS or math.isnan(mps):
            return None
        first, second = self._before
        self._before = second, mps
        return None if first is None or second is None else min(first, second, mps)
