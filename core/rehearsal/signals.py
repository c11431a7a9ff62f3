"""How strong a satellite comes in: by its elevation, by what stands in the way, with slow fading.

C/N0 in dB-Hz. In the open 45 to 50 high up and 35 to 45 low down, 25 to 35 in shade (trade-facts.md a: S9, S10 and S11
there); the curve between them is ours.
"""

from __future__ import annotations

import math
from random import Random
from typing import NamedTuple

from core.rehearsal.gauss_markov import GaussMarkov, Pace, pace
from core.rehearsal.ranging import Path

ZENITH_DBHZ = 48.5
HORIZON_DBHZ = 34.0
SYSTEM_DB = {"R": -1.0, "S": -3.0}
"""Differences in received power between systems. Common practice, no source."""
SPREAD_DB = 1.0
"""Between satellites of a kind, one sigma: age and antenna. Common practice, no source."""
HIDDEN_DB = 14.0
"""What a bounce off a wall costs when nothing comes directly. Common practice, no source (10 to 20 dB)."""
FADING_DB = {Path.DIRECT: 0.7, Path.BOUNCED: 2.5, Path.ONLY_BOUNCED: 4.0}
"""One sigma. With reflections several dB over tens of seconds (trade-facts.md a, signs of multipath)."""
LEAF_FADING = 0.3
"""Fading under leaves, one sigma, over their mean loss. Common practice, no source."""
FADING_TAU_S = 20.0
FADING_WAY_M = 3.0
"""Way after which a moving antenna is under another leaf. Common practice, no source."""


class Obstacle(NamedTuple):
    """What is between the antenna and one satellite."""

    path: Path = Path.DIRECT
    leaves_db: float = 0.0
    """Mean loss under trees."""


OPEN = Obstacle()


def open_sky_dbhz(elevation_deg: float) -> float:
    """Mean C/N0 of an unobstructed satellite on a small patch antenna, elevation 0 to 90."""
    share = math.pow(max(0.0, math.sin(math.radians(elevation_deg))), 0.6)
    return HORIZON_DBHZ + (ZENITH_DBHZ - HORIZON_DBHZ) * share


def fading_pace(dt_s: float, speed_mps: float) -> Pace:
    """One step of every satellite's fading."""
    return pace(dt_s, 1.0 / (1.0 / FADING_TAU_S + speed_mps / FADING_WAY_M))


class Signal:
    """The strength of one satellite, from epoch to epoch."""

    __slots__ = ("_fading", "_own_db")

    def __init__(self, system: str, rng: Random) -> None:
        self._own_db = SYSTEM_DB.get(system, 0.0) + rng.gauss(0.0, SPREAD_DB)
        self._fading = GaussMarkov(rng)

    def step(self, by: Pace) -> None:
        """One epoch on."""
        self._fading.step(by)

    def dbhz(self, elevation_deg: float, obstacle: Obstacle, loss_db: float) -> float:
        """C/N0 now. `loss_db`: what lowers all satellites alike (antenna, interference)."""
        swing = math.hypot(FADING_DB[obstacle.path], LEAF_FADING * obstacle.leaves_db) * self._fading.value
        hidden = HIDDEN_DB if obstacle.path is Path.ONLY_BOUNCED else 0.0
        return open_sky_dbhz(elevation_deg) + self._own_db + swing - hidden - obstacle.leaves_db - loss_db
