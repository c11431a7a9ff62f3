"""Noise with a memory: first-order Gauss-Markov processes of unit variance.

Stationary position errors of receivers fit such a process and not white noise (trade-facts.md c: S20 there). Its
correlation falls by e in the time constant, whatever the step, so 1 Hz and 10 Hz show the same errors.
"""

from __future__ import annotations

import math
from random import Random
from typing import NamedTuple


class Pace(NamedTuple):
    """What one step does: the share of the old value that stays, and the size of the new part."""

    keep: float
    kick: float


def pace(dt_s: float, tau_s: float) -> Pace:
    """The step over `dt_s` seconds of a process with this time constant; white noise where that is zero."""
    keep = math.exp(-dt_s / tau_s) if tau_s > 0.0 else 0.0
    return Pace(keep, math.sqrt(1.0 - keep * keep))


class GaussMarkov:
    """One process. Its value has mean 0 and variance 1 from the start."""

    __slots__ = ("_gauss", "value")

    def __init__(self, rng: Random) -> None:
        self._gauss = rng.gauss
        self.value = rng.gauss(0.0, 1.0)

    def step(self, by: Pace) -> None:
        """One step on; draws one number, always, so that streams stay in step whatever happens around them."""
        self.value = by.keep * self.value + by.kick * self._gauss(0.0, 1.0)
