"""How far, and which way, one position lies from another: east, north and distance."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from core.fix import Position
from core.places.geodesic import distance_m
from core.samples import earth_centred


class Offset(NamedTuple):
    """From one position to another, metres."""

    east_m: float
    north_m: float
    distance_m: float
    """Along the ellipsoid; the square root of the other two squared."""


@lru_cache(maxsize=8192)
def offset(start: Position, end: Position) -> Offset:
    """East and north as they are at `start`, on WGS 84: the direction by the plane that touches there, the length true.

    Worked out in space, so that neither a pole nor the antimeridian is a special case. At a pole itself north is along
    the longitude that was given with it, as in Karney's geodesics. The direction is that of the normal section: within
    100 km it is that of the geodesic to a thousandth of a degree (tested against geographiclib).
    """
    east, north = _direction(start, end)
    length, chord = distance_m(start, end), math.hypot(east, north)
    if chord == 0.0:
        return Offset(0.0, 0.0, length)
    return Offset(length * east / chord, length * north / chord, length)


def _direction(start: Position, end: Position) -> tuple[float, float]:
    x, y, z = (b - a for a, b in zip(earth_centred(start), earth_centred(end), strict=True))
    latitude, longitude = math.radians(start.latitude_deg), math.radians(start.longitude_deg)
    outward = x * math.cos(longitude) + y * math.sin(longitude)
    east = y * math.cos(longitude) - x * math.sin(longitude)
    return east, z * math.cos(latitude) - outward * math.sin(latitude)
