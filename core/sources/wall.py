"""The time of day of arrivals, from a clock that nobody can set.

Users set the computer's clock in mid-session (that is one of the things this program helps with). So the clock of the
room is read once, when a recording begins, and all later times follow from the monotonic clock.
"""

from __future__ import annotations

import time
from typing import NamedTuple


class WallAnchor(NamedTuple):
    """One moment on both clocks."""

    unix_ms: int
    monotonic_s: float

    def unix_at(self, monotonic_s: float) -> int:
        """Unix milliseconds of another moment of the monotonic clock."""
        return max(0, self.unix_ms + round((monotonic_s - self.monotonic_s) * 1000))


def anchor_now() -> WallAnchor:
    """Both clocks, read once: users set the computer's clock in mid-session."""
    return WallAnchor(time.time_ns() // 1_000_000, time.monotonic())
