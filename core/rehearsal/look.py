"""Which satellites stand above the horizon of a place, where, and what is in the way.

Straight lines in WGS 84: no refraction (0.5 degrees at the horizon for light, less than 0.1 above 10 degrees).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import datetime
from typing import Literal, NamedTuple

from core.fix import Position
from core.places.geodesic import FLATTENING, SEMI_MAJOR_M
from core.rehearsal.orbits import Sat, Vector, ecef_m
from core.rehearsal.walls import OPEN_SKY, Surroundings, Wall, street

__all__ = ["OPEN_SKY", "Seen", "Sight", "Surroundings", "Wall", "blocked", "place_m", "seen_from", "street"]

Sight = Literal["clear", "shaded", "blocked"]
"""shaded: through leaves. blocked: behind land or a wall."""
_E2 = FLATTENING * (2 - FLATTENING)


class Seen(NamedTuple):
    """A satellite in the sky of a place."""

    sat: Sat
    azimuth_deg: float
    """True, 0 to below 360."""
    elevation_deg: float
    """Above the plane along the ellipsoid, above 0 to 90."""
    unit: Vector
    """The direction as east, north, up; of length 1."""
    range_m: float


class _Station(NamedTuple):
    """An antenna, and how its horizon lies in the frame of the earth."""

    origin: Vector
    sin_latitude: float
    cos_latitude: float
    sin_longitude: float
    cos_longitude: float


def seen_from(position: Position, height_m: float, sats: Iterable[Sat], t: datetime | float) -> list[Seen]:
    """Satellites above the horizon, in the order given.

    `height_m` above the ellipsoid. `t` aware, or seconds since the epoch of each satellite.
    """
    station = _station(position, height_m)
    looks = [_look(station, sat, t) for sat in sats]
    return [seen for seen in looks if seen is not None]


def blocked(seen: Seen, surroundings: Surroundings) -> Sight:
    """What is between the antenna and a satellite. One on an upper edge, or on the mask, is not hidden."""
    elevation = seen.elevation_deg
    if elevation < surroundings.mask_deg or elevation < surroundings.wall_deg(seen.azimuth_deg):
        return "blocked"
    return "shaded" if surroundings.canopy_db and elevation <= surroundings.canopy_below_deg else "clear"


def place_m(position: Position, height_m: float) -> Vector:
    """A point at a height above the ellipsoid, in the frame of `ecef_m`."""
    return _station(position, height_m).origin


def _station(position: Position, height_m: float) -> _Station:
    latitude, longitude = math.radians(position.latitude_deg), math.radians(position.longitude_deg)
    sine, cosine = math.sin(latitude), math.cos(latitude)
    east, level = math.sin(longitude), math.cos(longitude)
    normal_m = SEMI_MAJOR_M / math.sqrt(1 - _E2 * sine * sine)
    out_m = (normal_m + height_m) * cosine
    up_m = (normal_m * (1 - _E2) + height_m) * sine
    return _Station((out_m * level, out_m * east, up_m), sine, cosine, east, level)


def _look(station: _Station, sat: Sat, t: datetime | float) -> Seen | None:
    """None below the horizon. The angles come last: most of the work is saved for those that have set."""
    (x0, y0, z0), sin_latitude, cos_latitude, sin_longitude, cos_longitude = station
    x, y, z = ecef_m(sat, t)
    x, y, z = x - x0, y - y0, z - z0
    out = x * cos_longitude + y * sin_longitude
    up = out * cos_latitude + z * sin_latitude
    if up <= 0.0:
        return None
    east, north = y * cos_longitude - x * sin_longitude, z * cos_latitude - out * sin_latitude
    flat = math.hypot(east, north)
    far = math.hypot(flat, up)
    # Twice: a tiny negative angle modulo 360 is rounded to 360 itself.
    azimuth = math.degrees(math.atan2(east, north)) % 360.0 % 360.0
    return Seen(sat, azimuth, math.degrees(math.atan2(up, flat)), (east / far, north / far, up / far), far)
