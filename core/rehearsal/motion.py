"""Speed and course from Doppler: the true velocity, a little late, with noise; course frozen when slow.

SPS velocity is good to 0.2 m/s at 95 % (trade-facts.md b: S15 there), 0.1 m/s an axis at worst; filtered receivers at
rest show a few cm/s. Course is frozen below 0.1 m/s, and frozen values are left out (same place: S16).
"""

from __future__ import annotations

import math
from random import Random
from typing import NamedTuple

from core.rehearsal.gauss_markov import GaussMarkov, pace

FROZEN_BELOW_MPS = 0.1
NOISE_MPS = 0.03
"""One sigma an axis, after the filter, at HDOP 1 and 45 dB-Hz. Common practice, no source."""
LARGEST_NOISE_MPS = 0.5
NOISE_TAU_S = 1.5
LAG_S = 0.8
"""Time constant of the receiver's velocity filter, set for walking. Common practice, no source."""


class Velocity(NamedTuple):
    """What is said of the movement."""

    speed_mps: float
    course_deg: float | None
    """True; None while frozen."""


class Motion:
    """The velocity filter."""

    def __init__(self, rng: Random) -> None:
        self._east, self._north = GaussMarkov(rng), GaussMarkov(rng)
        self._smooth: tuple[float, float] | None = None

    def follow(self, dt_s: float, speed_mps: float, course_deg: float) -> None:
        """One epoch of true movement. The first finds the filter settled."""
        angle = math.radians(course_deg)
        true = (speed_mps * math.sin(angle), speed_mps * math.cos(angle))
        old = self._smooth or true
        keep = pace(dt_s, LAG_S).keep
        self._smooth = (keep * old[0] + (1.0 - keep) * true[0], keep * old[1] + (1.0 - keep) * true[1])
        by = pace(dt_s, NOISE_TAU_S)
        self._east.step(by)
        self._north.step(by)

    def velocity(self, worse: float) -> Velocity:
        """What the receiver says; `worse` multiplies the noise (HDOP, weak signals)."""
        noise = min(NOISE_MPS * worse, LARGEST_NOISE_MPS)
        smooth = self._smooth or (0.0, 0.0)
        east, north = smooth[0] + noise * self._east.value, smooth[1] + noise * self._north.value
        speed = math.hypot(east, north)
        course = math.degrees(math.atan2(east, north)) % 360.0
        return Velocity(speed, course if speed >= FROZEN_BELOW_MPS else None)
