"""Distances and bearings on the WGS 84 ellipsoid."""

from __future__ import annotations

import math
from typing import NamedTuple

from core.fix import Position

SEMI_MAJOR_M = 6_378_137.0
FLATTENING = 1 / 298.257223563
"""WGS 84 defining parameters (NGA.STND.0036)."""
_E2 = FLATTENING * (2 - FLATTENING)
MERIDIAN_ROUND_M = 40_007_863.0
"""Around the earth through the poles; the long path is what is left of it (common practice)."""
LOCAL_LIMIT_DEG = 0.01
"""Below this in both coordinates (1.1 km) the local formula is used."""
POLAR_LIMIT_DEG = 80.0


class Way(NamedTuple):
    """The shortest line from one point to another."""

    distance_m: float
    initial_bearing_deg: float
    """True, 0 to below 360."""
    final_bearing_deg: float
    """Direction of travel on arrival, true, 0 to below 360."""


def way(start: Position, end: Position) -> Way:
    """The geodesic from `start` to `end` (Karney 2013, by geographiclib; exact to nanometres)."""
    from geographiclib.geodesic import Geodesic

    line = Geodesic.WGS84.Inverse(*start, *end)
    return Way(line["s12"], line["azi1"] % 360.0, line["azi2"] % 360.0)


def distance_m(a: Position, b: Position) -> float:
    """Metres between two points.

    Between successive fixes, where it is asked for a million times, it is worked out on the two radii of curvature at
    the middle latitude; the next term of the series is of the order (s/R)^2 of the distance, below 0.1 mm in 1 km.
    Tested against the geodesic.
    """
    north = b.latitude_deg - a.latitude_deg
    east = (b.longitude_deg - a.longitude_deg + 180.0) % 360.0 - 180.0
    middle = (a.latitude_deg + b.latitude_deg) / 2
    if abs(north) > LOCAL_LIMIT_DEG or abs(east) > LOCAL_LIMIT_DEG or abs(middle) > POLAR_LIMIT_DEG:
        return way(a, b).distance_m
    sine = math.sin(math.radians(middle))
    w2 = 1 - _E2 * sine * sine
    prime_vertical_m = SEMI_MAJOR_M / math.sqrt(w2)
    meridional_m = prime_vertical_m * (1 - _E2) / w2
    east_m = math.radians(east) * prime_vertical_m * math.cos(math.radians(middle))
    return math.hypot(math.radians(north) * meridional_m, east_m)
