"""Fixes of a receiver that stands still and whose error wanders. All figures are simulated."""

from __future__ import annotations

import math
from random import Random

from core.averaging import SiteAverage, SiteSample


def wandering(rng: Random, count: int, sigma: float, tau: float) -> list[float]:
    """First-order Gauss-Markov at 1 Hz."""
    keep = math.exp(-1.0 / tau)
    value, found = rng.gauss(0.0, sigma), []
    for _ in range(count):
        found.append(value)
        value = keep * value + rng.gauss(0.0, sigma * math.sqrt(1.0 - keep * keep))
    return found


def site(count: int = 3600, seed: int = 1, tau: float = 60.0, sigma: float = 2.0) -> list[SiteSample]:
    rng = Random(seed)
    axes = [wandering(rng, count, sigma, tau) for _ in range(3)]
    return [SiteSample(float(n), *row) for n, row in enumerate(zip(*axes, strict=True))]


def stated(found: SiteAverage) -> float:
    assert found.horizontal_95_m is not None, found.declined
    return found.horizontal_95_m
