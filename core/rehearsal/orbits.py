"""Where satellites are: circular orbits of two bodies, under a turning earth.

Left out, with what it comes to: the flattening of the earth (planes turn by 0.03 to 0.04 degrees a day), sun and moon,
eccentricity (real ones up to 0.02: a degree or two along the orbit), polar motion and UT1 - UTC (below a second),
leap seconds since the slots' epoch, and what satellite and earth move while the signal travels (some 300 m). None of
it changes what a sky looks like, how it moves, or its DOP; but a satellite is not where the real one of its number is.

Positions are worked out anew each time, not interpolated: it takes a microsecond each.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime
from typing import NamedTuple

from core.errors import InputError
from core.rehearsal.constellations import EPOCH, SBAS_LONGITUDES_DEG, SYSTEMS, Slot, slots

GM_M3_S2 = 3.986004418e14
"""The earth's gravitational constant with its atmosphere. WGS 84 (NGA.STND.0036), from memory."""
EARTH_RATE_RAD_S = 7.2921151467e-5
"""The earth's turning against the stars. The WGS 84 value that IS-GPS-200 prescribes, from memory."""
J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
DAY_S = 86_400.0

Vector = tuple[float, float, float]


class Sat(NamedTuple):
    """A satellite on a circular orbit, by what turns its time into a place fixed to the earth."""

    name: str
    """RINEX, "G05"."""
    system: str
    """G, R, E, C or S."""
    radius_m: float
    """From the middle of the earth."""
    rate_rad_s: float
    """Along the orbit, against the stars."""
    cos_inclination: float
    sin_inclination: float
    argument_rad: float
    """Past the ascending node, at `epoch`."""
    node_rad: float
    """Longitude on earth (not among the stars) of the ascending node, at `epoch`."""
    epoch: datetime
    """Aware, UTC."""


def constellation(systems: str, when: datetime) -> tuple[Sat, ...]:
    """All satellites of the letters in `systems` (of "GRECS", each counted once), their elements moved on to `when`.

    `when` is aware. From then on the earth turns evenly, without precession, which comes to 16 m a day: use them for
    some days. Raises InputError for other letters.
    """
    unknown = sorted(set(systems) - {*SYSTEMS, "S"})
    if unknown:
        raise InputError(
            f"{unknown[0]!r} is no satellite system of a rehearsal: "
            "use letters of GRECS (GPS, GLONASS, Galileo, BeiDou, SBAS)"
        )
    letters = dict.fromkeys(systems)
    return tuple(sat for letter in letters for sat in _fleet(letter, when))


def ecef_m(sat: Sat, t: datetime | float) -> Vector:
    """Metres from the middle of the earth, towards 0 N 0 E, 0 N 90 E, and the north pole.

    `t`: aware, or seconds since the satellite's epoch.
    """
    seconds = (t - sat.epoch).total_seconds() if isinstance(t, datetime) else t
    argument = sat.argument_rad + sat.rate_rad_s * seconds
    node = sat.node_rad - EARTH_RATE_RAD_S * seconds
    along, across = sat.radius_m * math.cos(argument), sat.radius_m * math.sin(argument)
    level = across * sat.cos_inclination
    cosine, sine = math.cos(node), math.sin(node)
    return along * cosine - level * sine, along * sine + level * cosine, across * sat.sin_inclination


def sidereal_deg(when: datetime) -> float:
    """Greenwich mean sidereal angle, 0 to below 360: how far the earth has turned under the stars.

    IAU 1982 (Aoki and others), in the form of Meeus, Astronomical Algorithms, formula 12.4 (from memory; tested
    against a library). UTC is taken for UT1.
    """
    days = (when - J2000).total_seconds() / DAY_S
    centuries = days / 36_525.0
    bend = centuries * centuries * (0.000387933 - centuries / 38_710_000.0)
    return (280.46061837 + 360.98564736629 * days + bend) % 360.0


def _fleet(system: str, when: datetime) -> list[Sat]:
    if system == "S":
        return [_parked(name, longitude, when) for name, longitude in SBAS_LONGITUDES_DEG.items()]
    return [_flying(slot, when) for slot in slots(system)]


def _flying(slot: Slot, when: datetime) -> Sat:
    """A slot on its orbit, by Kepler's third law."""
    rate = math.sqrt(GM_M3_S2 / slot.radius_m**3)
    argument = math.radians(slot.argument_deg) + rate * (when - EPOCH).total_seconds()
    node = math.radians((slot.node_deg - sidereal_deg(when)) % 360.0)
    tilt = math.radians(slot.inclination_deg)
    return Sat(
        slot.name, slot.name[0], slot.radius_m, rate, math.cos(tilt), math.sin(tilt), argument % math.tau, node, when
    )


def _parked(name: str, longitude_deg: float, when: datetime) -> Sat:
    """A geostationary satellite: around with the earth, over the equator."""
    radius_m = math.cbrt(GM_M3_S2 / EARTH_RATE_RAD_S**2)
    return Sat(name, name[0], radius_m, EARTH_RATE_RAD_S, 1.0, 0.0, math.radians(longitude_deg), 0.0, when)
