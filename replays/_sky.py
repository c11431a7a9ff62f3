"""The sky over one site: nominal circular orbits, where each satellite stands, and what that geometry is worth.

Nominal slots, not an ephemeris: the picture moves as a real sky does, but no real satellite was there. Angles are
degrees, azimuths clockwise from true north, distances kilometres unless a name says metres.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

EARTH_GM = 398_600.5
"""km3/s2, the value of IS-GPS-200, from memory."""
EARTH_TURN_DEG_S = 360.98564737 / 86_400
"""Of the turning earth against the stars; from memory, as in SIDEREAL_AT_MIDNIGHT_DEG."""
SIDEREAL_AT_MIDNIGHT_DEG = 232.50
"""Greenwich sidereal angle at 0 h UTC on 2027-05-15: 280.46062 + 360.98564737 d, d from J2000 (formula from memory)."""

# (node, argument of latitude) in degrees: GPS SPS Performance Standard, October 2001, Table 3-1, the 24 baseline slots
# A1 to F4. Taken to hold at 0 h of the recording's day, which is invented.
_GPS_NODES = (272.847, 332.847, 32.847, 92.847, 152.847, 212.847)
_GPS_PHASES = (
    (268.126, 161.786, 11.676, 41.806),
    (80.956, 173.336, 309.976, 204.376),
    (111.876, 11.796, 339.666, 241.556),
    (135.226, 265.446, 35.156, 167.356),
    (197.046, 302.596, 66.066, 333.686),
    (238.886, 345.226, 105.206, 135.346),
)
_GPS_AXIS, _GPS_INCLINATION = 26_559.7, 55.0  # The same table's nominal orbit, from memory.
_GPS_NUMBERS = (7, 24, 31, 12, 2, 19, 28, 10, 3, 21, 30, 15, 6, 23, 1, 17, 11, 29, 8, 26, 5, 22, 14, 32)  # Invented.

# Letter, first number, inclination, semi-major axis: Walker 24/3/1 nominal orbits, the projects' published
# constellation figures. The node of the first plane is invented, so that the systems do not stand on top of each other.
_WALKERS = (("E", 3, 56.0, 29_600.318, 70.0), ("R", 1, 64.8, 25_508.2, 25.0), ("C", 19, 55.0, 27_906.1, 100.0))
_WALKER_STEP = 15.0
"""Phase between neighbouring planes of a 24/3/1 pattern: 360/24."""

# Two geostationary satellites of an invented augmentation service: name, longitude in degrees.
_GEOSTATIONARY = (("S24", -21.0), ("S37", 6.5))
_GEO_AXIS = 42_164.0  # From memory.


class Site(NamedTuple):
    """A point on WGS 84: degrees, and metres above the ellipsoid."""

    latitude_deg: float
    longitude_deg: float
    height_m: float


class Orbit(NamedTuple):
    """A circular orbit: the angles at 0 h of the recording's day, the node counted from the March equinox."""

    name: str
    node_deg: float
    phase_deg: float
    inclination_deg: float
    axis_km: float


class Look(NamedTuple):
    """Where a satellite stands, its name as in RINEX."""

    name: str
    azimuth_deg: float
    elevation_deg: float


class Spread(NamedTuple):
    """Variances of the position for a range error of one: what DOP is made of."""

    east: float
    north: float
    east_north: float
    up: float

    @property
    def hdop(self) -> float:
        """Horizontal dilution of precision."""
        return math.sqrt(self.east + self.north)

    @property
    def vdop(self) -> float:
        """Vertical dilution of precision; 0 where the height is held."""
        return math.sqrt(self.up)

    @property
    def pdop(self) -> float:
        """Of all three axes."""
        return math.sqrt(self.east + self.north + self.up)


def _gps() -> Iterable[Orbit]:
    numbers = iter(_GPS_NUMBERS)
    for node, phases in zip(_GPS_NODES, _GPS_PHASES, strict=True):
        for phase in phases:
            yield Orbit(f"G{next(numbers):02d}", node, phase, _GPS_INCLINATION, _GPS_AXIS)


def _walkers() -> Iterable[Orbit]:
    for letter, first, inclination, axis, node in _WALKERS:
        for index in range(24):
            plane, slot = divmod(index, 8)
            phase = slot * 45.0 + plane * _WALKER_STEP
            yield Orbit(f"{letter}{first + index:02d}", node + plane * 120.0, phase, inclination, axis)


def _geostationary() -> Iterable[Orbit]:
    for name, longitude in _GEOSTATIONARY:
        yield Orbit(name, longitude + SIDEREAL_AT_MIDNIGHT_DEG, 0.0, 0.0, _GEO_AXIS)


ORBITS = (*_gps(), *_walkers(), *_geostationary())


def _place(orbit: Orbit, seconds: float) -> tuple[float, float, float]:
    """Earth-fixed kilometres, `seconds` after 0 h."""
    phase = math.radians(orbit.phase_deg) + seconds * math.sqrt(EARTH_GM / orbit.axis_km**3)
    node = math.radians(orbit.node_deg - SIDEREAL_AT_MIDNIGHT_DEG - seconds * EARTH_TURN_DEG_S)
    along, across = math.cos(phase), math.sin(phase)
    level = across * math.cos(math.radians(orbit.inclination_deg))
    x = along * math.cos(node) - level * math.sin(node)
    y = along * math.sin(node) + level * math.cos(node)
    z = across * math.sin(math.radians(orbit.inclination_deg))
    return orbit.axis_km * x, orbit.axis_km * y, orbit.axis_km * z


def _ground(site: Site) -> tuple[float, float, float]:
    lat, lon = math.radians(site.latitude_deg), math.radians(site.longitude_deg)
    flat = 1 / 298.257223563  # WGS 84.
    curve = 6378.137 / math.sqrt(1 - flat * (2 - flat) * math.sin(lat) ** 2)
    out = (curve + site.height_m / 1000) * math.cos(lat)
    up = (curve * (1 - flat) ** 2 + site.height_m / 1000) * math.sin(lat)
    return out * math.cos(lon), out * math.sin(lon), up


def look(orbit: Orbit, site: Site, seconds: float) -> Look:
    """The satellite as seen from `site`, below the horizon too."""
    lat, lon = math.radians(site.latitude_deg), math.radians(site.longitude_deg)
    x, y, z = (there - here for there, here in zip(_place(orbit, seconds), _ground(site), strict=True))
    east = y * math.cos(lon) - x * math.sin(lon)
    outward = x * math.cos(lon) + y * math.sin(lon)
    north = z * math.cos(lat) - outward * math.sin(lat)
    up = outward * math.cos(lat) + z * math.sin(lat)
    elevation = math.degrees(math.atan2(up, math.hypot(east, north)))
    return Look(orbit.name, math.degrees(math.atan2(east, north)) % 360, elevation)


def sky(site: Site, seconds: float, mask_deg: float = 5.0) -> list[Look]:
    """All satellites above `mask_deg`, by name."""
    seen = (look(orbit, site, seconds) for orbit in ORBITS)
    return sorted(one for one in seen if one.elevation_deg >= mask_deg)


def _row(one: Look, held_height: bool) -> tuple[float, ...]:
    azimuth, elevation = math.radians(one.azimuth_deg), math.radians(one.elevation_deg)
    level = (math.cos(elevation) * math.sin(azimuth), math.cos(elevation) * math.cos(azimuth))
    return (*level, 1.0) if held_height else (*level, 1.0, math.sin(elevation))


def _inverse(matrix: list[list[float]]) -> list[list[float]] | None:
    """By Gauss and Jordan with pivoting; None where it is singular."""
    size = len(matrix)
    rows = [row + [float(i == j) for j in range(size)] for i, row in enumerate(matrix)]
    for column in range(size):
        pivot = max(range(column, size), key=lambda i: abs(rows[i][column]))
        if abs(rows[pivot][column]) < 1e-9:
            return None
        rows[column], rows[pivot] = rows[pivot], rows[column]
        rows[column] = [value / rows[column][column] for value in rows[column]]
        for i in set(range(size)) - {column}:
            rows[i] = [a - rows[i][column] * b for a, b in zip(rows[i], rows[column], strict=True)]
    return [row[size:] for row in rows]


def spread(used: Sequence[Look], held_height: bool = False) -> Spread | None:
    """The inverse of the normal matrix of `used`, one clock for all systems; None where they do not fix a position.

    One clock: the receiver is taken to know the offsets between the systems' times, as the systems broadcast them.
    """
    rows = [_row(one, held_height) for one in used]
    size = 3 if held_height else 4
    if len(rows) < size:
        return None
    inverse = _inverse([[sum(row[i] * row[j] for row in rows) for j in range(size)] for i in range(size)])
    if inverse is None:
        return None
    return Spread(inverse[0][0], inverse[1][1], inverse[0][1], 0.0 if held_height else inverse[3][3])
