"""Synthetic walks with known truth, laid by geographiclib's Direct. All in open ocean, on ice, or nowhere: invented.

A walk is a list of steps: a second, and where the walker truly is. Noise is laid upon it afterwards, seeded.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from itertools import accumulate
from typing import NamedTuple

from geographiclib.geodesic import Geodesic

from core.fix import MS_PER_DAY, Fix, FixMode, Position, Utc

OCEAN = Position(10.5, -20.25)
NEAR_NORTH_POLE, NEAR_SOUTH_POLE = Position(89.9999, 40.0), Position(-89.9999, -130.0)
"""Eleven metres from the pole: a walk leads across it."""
NEAR_ANTIMERIDIAN = Position(-17.0, 179.9998)
"""Twenty metres west of it."""
ANYWHERE = (OCEAN, NEAR_NORTH_POLE, NEAR_SOUTH_POLE, NEAR_ANTIMERIDIAN)
PACE_MPS = 1.4
"""A usual walk, 5 km/h."""


class Step(NamedTuple):
    """Where the walker is at a second."""

    at_s: float
    place: Position


Epoch = tuple[Fix, float, float | None]
"""A fix, its arrival and its 95 % error, as a Navigator takes it."""


def laid(start: Position, bearing_deg: float, metres: float) -> Position:
    """The place so far from `start`."""
    end = Geodesic.WGS84.Direct(*start, bearing_deg, metres)
    return Position(end["lat2"], end["lon2"])


def beside(start: Position, bearing_deg: float, along_m: float, right_m: float) -> Position:
    """The place so far along a line, and so far to the right of it."""
    foot = Geodesic.WGS84.Direct(*start, bearing_deg, along_m)
    end = Geodesic.WGS84.Direct(foot["lat2"], foot["lon2"], foot["azi2"] + 90.0, right_m)
    return Position(end["lat2"], end["lon2"])


def straight(start: Position, bearing_deg: float, seconds: float, *, mps: float = PACE_MPS, hz: int = 1) -> list[Step]:
    """Along one geodesic."""
    return [Step(n / hz, laid(start, bearing_deg, mps * n / hz)) for n in range(int(seconds * hz) + 1)]


def loop(centre: Position, radius_m: float, seconds: int, *, mps: float = PACE_MPS) -> list[Step]:
    """Round and round a place, clockwise from its north."""
    turn_deg = math.degrees(mps / radius_m)
    return [Step(float(n), laid(centre, n * turn_deg, radius_m)) for n in range(seconds + 1)]


def out_and_back(start: Position, bearing_deg: float, seconds: int, *, mps: float = PACE_MPS) -> list[Step]:
    """Out for half of the time, and the same way back."""
    out = [mps * min(n, seconds - n) for n in range(seconds + 1)]
    return [Step(float(n), laid(start, bearing_deg, metres)) for n, metres in enumerate(out)]


def standing(place: Position, seconds: int) -> list[Step]:
    """Not moving."""
    return [Step(float(n), place) for n in range(seconds + 1)]


def then(first: list[Step], *more: list[Step]) -> list[Step]:
    """One walk after the other, each beginning the second after the last."""
    walk = [*first]
    for one in more:
        after_s = walk[-1].at_s + 1.0
        walk += [Step(after_s + step.at_s, step.place) for step in one]
    return walk


class Noise(NamedTuple):
    """Slow errors of a first-order Gauss-Markov process, each axis for itself, and white ones on top; one sigma."""

    sigma_m: float = 2.5
    tau_s: float = 300.0
    white_m: float = 0.3


def errors(noise: Noise, seed: int, count: int) -> Iterator[tuple[float, float]]:
    """East and north errors, one second apart. Seeded: the same every time."""
    rng = random.Random(seed)
    east, north = _axis(noise, rng, count), _axis(noise, rng, count)
    return zip(east, north, strict=True)


def _axis(noise: Noise, rng: random.Random, count: int) -> list[float]:
    keep = math.exp(-1.0 / noise.tau_s)
    drive = noise.sigma_m * math.sqrt(1.0 - keep * keep)
    steps = [rng.gauss(0.0, noise.sigma_m), *(rng.gauss(0.0, drive) for _ in range(count - 1))]
    return [slow + rng.gauss(0.0, noise.white_m) for slow in accumulate(steps, lambda last, new: keep * last + new)]


def noisy(walk: list[Step], noise: Noise, seed: int) -> list[Step]:
    """The walk as a receiver would see it; one step a second."""
    return [
        Step(step.at_s, laid(step.place, math.degrees(math.atan2(east, north)), math.hypot(east, north)))
        for step, (east, north) in zip(walk, errors(noise, seed, len(walk)), strict=True)
    ]


def epochs(walk: list[Step], *, error_95_m: float | None = None, mode: FixMode = FixMode.AUTONOMOUS) -> list[Epoch]:
    """Fixes that carry the time of day, without a speed: that is worked out."""
    return [(fix_at(step, mode), step.at_s, error_95_m) for step in walk]


def fix_at(step: Step, mode: FixMode = FixMode.AUTONOMOUS) -> Fix:
    """One satellite fix; its time of day begins at noon."""
    return Fix(utc=_utc(step.at_s), position=step.place, mode=mode, told=True)


def void(at_s: float) -> Epoch:
    """An epoch in which the receiver says that it has no fix."""
    return Fix(utc=_utc(at_s), told=True), at_s, None


def _utc(at_s: float) -> Utc:
    return Utc(round(at_s * 1000 + MS_PER_DAY / 2) % MS_PER_DAY, None)
