"""What is wrong with a pseudorange: error budgets by kind of positioning, and the processes that fill them.

Five parts. Satellite clock and ephemeris: slow, each satellite its own. Ionosphere and troposphere, what the models
leave: larger low down, changing over minutes, common to neighbours. Multipath: each satellite its own, correlated,
larger low down and near walls; a reflection takes the longer way, so walls push ranges up. Noise by C/N0.
All processes have unit variance and are scaled when read: a change of budget (SBAS begins) does not make them jump.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import Enum
from random import Random
from typing import NamedTuple

from core.fix import FixMode
from core.rehearsal.gauss_markov import GaussMarkov, Pace, pace


class Path(Enum):
    """How a signal comes in."""

    DIRECT = "direct"
    BOUNCED = "bounced"
    """Direct, and from a wall as well."""
    ONLY_BOUNCED = "only bounced"
    """The satellite is hidden; only the reflection is received."""


@dataclass(frozen=True, slots=True)
class ErrorBudget:
    """One sigma of each part in metres, and its time constant in seconds."""

    clock_ephemeris_m: float
    iono_m: float
    """Vertical; times the obliquity of the ray."""
    tropo_m: float
    """Vertical; times the mapping of the ray."""
    multipath_m: float
    """At the horizon, antenna standing still in the open."""
    noise_m: float
    """At 45 dB-Hz."""
    clock_ephemeris_tau_s: float = 1800.0
    """Common practice, no source: clock predictions age over the hours between uploads."""
    iono_tau_s: float = 900.0
    """Common practice, no source: a quarter of an hour, as travelling disturbances take to pass."""
    tropo_tau_s: float = 3600.0
    """Common practice, no source."""
    multipath_tau_s: float = 60.0
    """The short component, about one minute, of a long stationary study (trade-facts.md c: S18, S19 there)."""
    noise_tau_s: float = 5.0
    """Common practice, no source: code smoothed by the carrier."""


BUDGETS: Mapping[FixMode, ErrorBudget] = {
    FixMode.AUTONOMOUS: ErrorBudget(1.0, 2.5, 0.12, 5.0, 0.4),
    FixMode.DIFFERENTIAL: ErrorBudget(0.5, 0.6, 0.12, 4.0, 0.3),
    FixMode.RTK_FLOAT: ErrorBudget(0.25, 0.0, 0.01, 0.1, 0.02, clock_ephemeris_tau_s=300.0),
    FixMode.RTK_FIXED: ErrorBudget(0.002, 0.0, 0.003, 0.012, 0.003),
}
"""By kind of positioning.

Autonomous: clock and ephemeris 2.0 m at 95 % is the constellation's commitment in the GPS SPS Performance Standard of
2020 (from memory; trade-facts.md a); the ionosphere is half of a vertical delay of some 5 m (broadcast models leave
half: from memory of IS-GPS-200); troposphere 0.12 m vertical (RTCA DO-229, from memory). Multipath and noise are
those of a small patch antenna: common practice, no source.
SBAS: corrects orbit, clock and ionosphere, not multipath (trade-facts.md a); the smaller multipath is the longer
smoothing that a receiver can afford with the ionosphere's drift known. Chosen for 1 to 2 m horizontally at 95 %.
RTK float: satellite and air cancel over a short line; "clock and ephemeris" stands for unresolved ambiguities, some
decimetres. RTK fixed: carrier phase, millimetres of noise, a centimetre of multipath (a quarter of a wavelength, 5 cm,
is its bound). Common practice, no source."""

NO_ERRORS = ErrorBudget(0.0, 0.0, 0.0, 0.0, 0.0)
"""For tests: ranges as they are."""
SHELL = 6371.0 / (6371.0 + 350.0)
"""The ionosphere as a thin shell 350 km up (the usual height, from memory)."""
GRADIENT = 0.5
"""Of the ionosphere's vertical residual: what its slope makes over 1000 km, one sigma. Common practice, no source."""
IONO_APART = 0.5
"""The share of it that a receiver counts against a position; the rest is common to all ranges and goes into the clock.
Common practice, no source."""
WALL_FACTOR = 3.0
"""Multipath with a wall behind the receiver, over that in the open. Common practice, no source."""
WALL_PUSH = 0.7
"""Mean of that multipath in its sigmas: positive, a reflection is late. Common practice, no source."""
HIDDEN_LEAST_M = 5.0
HIDDEN_SPREAD_M = 15.0
"""Extra way of a signal that comes by a wall only: at least the first, plus a half-normal share of the second. Twice
the distance to the wall, times the cosine of the elevation, bounds it: streets are 10 to 30 m wide. Common practice."""
DECORRELATION_M = 10.0
"""Way after which a moving antenna meets another multipath (half a street's width; common practice, no source)."""
NOISE_AT_DBHZ = 45.0
LARGEST_NOISE_FACTOR = 30.0
"""At 15 dB-Hz; below that nothing is tracked."""


def obliquity(elevation_deg: float) -> float:
    """Way through a thin shell over that straight up: 1 at the zenith, about 3 at the horizon."""
    flat = SHELL * math.cos(math.radians(elevation_deg))
    return 1.0 / math.sqrt(1.0 - flat * flat)


def tropo_mapping(elevation_deg: float) -> float:
    """Way through the troposphere over that straight up (Black and Eisner, as in RTCA DO-229; from memory)."""
    sine = math.sin(math.radians(elevation_deg))
    return 1.001 / math.sqrt(0.002001 + sine * sine)


def multipath_share(elevation_deg: float) -> float:
    """Multipath over that at the horizon. The shape is RTCA DO-229's 0.13 + 0.53 exp(-el / 10 deg), from memory."""
    return (0.13 + 0.53 * math.exp(-elevation_deg / 10.0)) / 0.66


def noise_factor(cno_dbhz: float) -> float:
    """Noise over that at 45 dB-Hz: a code loop's error goes with the root of the noise (textbook, from memory)."""
    return float(min(10.0 ** ((NOISE_AT_DBHZ - cno_dbhz) / 20.0), LARGEST_NOISE_FACTOR))


class Ray(NamedTuple):
    """One signal as it comes in."""

    azimuth_deg: float
    elevation_deg: float
    cno_dbhz: float
    path: Path = Path.DIRECT


def sigma_m(budget: ErrorBudget, ray: Ray) -> float:
    """The receiver's own idea of a range's error: parts as if independent, walls and reflections unknown to it."""
    return math.sqrt(
        budget.clock_ephemeris_m**2
        + (IONO_APART * budget.iono_m * obliquity(ray.elevation_deg)) ** 2
        + (budget.tropo_m * tropo_mapping(ray.elevation_deg)) ** 2
        + (budget.multipath_m * multipath_share(ray.elevation_deg)) ** 2
        + (budget.noise_m * noise_factor(ray.cno_dbhz)) ** 2
    )


class Paces(NamedTuple):
    """One epoch's step of every process."""

    clock: Pace
    iono: Pace
    tropo: Pace
    multipath: Pace
    noise: Pace


def paces(budget: ErrorBudget, dt_s: float, speed_mps: float) -> Paces:
    """The step over `dt_s`. Moving, multipath changes with the way as well as with time."""
    rate = speed_mps / DECORRELATION_M + (1.0 / budget.multipath_tau_s if budget.multipath_tau_s > 0.0 else 1e9)
    return Paces(
        pace(dt_s, budget.clock_ephemeris_tau_s),
        pace(dt_s, budget.iono_tau_s),
        pace(dt_s, budget.tropo_tau_s),
        pace(dt_s, 1.0 / rate),
        pace(dt_s, budget.noise_tau_s),
    )


def blended(a: ErrorBudget, b: ErrorBudget, share: float) -> ErrorBudget:
    """`share` of the way from `a` to `b`, 0 to 1, all parts alike."""
    if a is b or share >= 1.0:
        return b
    pairs = ((one.name, getattr(a, one.name), getattr(b, one.name)) for one in fields(a))
    return ErrorBudget(**{name: old + share * (new - old) for name, old, new in pairs})


class Atmosphere:
    """What the models of the air leave, over the whole sky: a vertical residual and how it slopes."""

    def __init__(self, rng: Random) -> None:
        self._iono, self._east, self._north, self._tropo = (GaussMarkov(rng) for _ in range(4))

    def step(self, by: Paces) -> None:
        """One epoch on."""
        for process in (self._iono, self._east, self._north):
            process.step(by.iono)
        self._tropo.step(by.tropo)

    def delay_m(self, budget: ErrorBudget, ray: Ray) -> float:
        """The error of one range; neighbours in the sky have nearly the same."""
        slope = GRADIENT * _pierce_mm(ray.elevation_deg)
        azimuth = math.radians(ray.azimuth_deg)
        tilt = slope * (self._east.value * math.sin(azimuth) + self._north.value * math.cos(azimuth))
        iono = budget.iono_m * obliquity(ray.elevation_deg) * (self._iono.value + tilt)
        return iono + budget.tropo_m * tropo_mapping(ray.elevation_deg) * self._tropo.value


def _pierce_mm(elevation_deg: float) -> float:
    """How far off the ray meets the shell, in megametres over the ground."""
    elevation = math.radians(elevation_deg)
    return 6.371 * (math.pi / 2 - elevation - math.asin(SHELL * math.cos(elevation)))


class SatelliteErrors:
    """The errors of one satellite that no other shares."""

    __slots__ = ("_clock", "_hidden", "_multipath", "_noise")

    def __init__(self, rng: Random) -> None:
        self._clock, self._multipath, self._hidden, self._noise = (GaussMarkov(rng) for _ in range(4))

    def step(self, by: Paces) -> None:
        """One epoch on."""
        self._clock.step(by.clock)
        self._multipath.step(by.multipath)
        self._hidden.step(by.multipath)
        self._noise.step(by.noise)

    def error_m(self, budget: ErrorBudget, ray: Ray) -> float:
        """The error of this epoch's range, metres; positive is too long."""
        own = budget.clock_ephemeris_m * self._clock.value
        noise = budget.noise_m * noise_factor(ray.cno_dbhz) * self._noise.value
        return own + noise + self._multipath_m(budget, ray)

    def _multipath_m(self, budget: ErrorBudget, ray: Ray) -> float:
        size = budget.multipath_m * multipath_share(ray.elevation_deg)
        if ray.path is Path.DIRECT:
            return size * self._multipath.value
        if ray.path is Path.BOUNCED:
            return WALL_FACTOR * size * (self._multipath.value + WALL_PUSH)
        extra = HIDDEN_LEAST_M + HIDDEN_SPREAD_M * abs(self._hidden.value)
        return size * self._multipath.value + extra * math.cos(math.radians(ray.elevation_deg))
