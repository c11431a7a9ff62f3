"""The polar stereographic projection of WGS 84 at the scale of UPS: metres east and north of a pole.

J. P. Snyder, "Map Projections: A Working Manual", USGS Professional Paper 1395 (1987), equations 15-9, 21-30 to 21-33
and 21-39 (their numbers from memory), with the conformal latitude's tangent in place of its series; scale 0.994 at the
pole (DMA TM 8358.2). Held to pygeodesy's by the tests.
"""

from __future__ import annotations

from math import atan, atan2, cos, degrees, hypot, inf, radians, sin, sqrt, tan
from typing import NamedTuple

from core.places.conformal import ECCENTRICITY, conformal, geographic
from core.places.geodesic import SEMI_MAJOR_M

SCALE = 0.994
_E = ECCENTRICITY
_RADIUS_M = 2 * SCALE * SEMI_MAJOR_M / sqrt((1 + _E) ** (1 + _E) * (1 - _E) ** (1 - _E))
"""Twice the earth's radius at the pole, at the scale of UPS: of the circle on which the conformal latitude is 0."""


class Polar(NamedTuple):
    """A point of the plane around a pole, unfalsed; its north lies along 180 degrees, from the south pole along 0."""

    east_m: float
    north_m: float


def forward(latitude_deg: float, longitude_deg: float, *, south: bool) -> Polar:
    """The point around the north or the south pole; meant for latitudes of its own hemisphere."""
    up = conformal(tan(radians(-latitude_deg if south else latitude_deg)))
    from_pole_m = _RADIUS_M / (up + sqrt(1 + up * up)) if up >= 0 else _RADIUS_M * (sqrt(1 + up * up) - up)
    east, north = sin(radians(longitude_deg)), cos(radians(longitude_deg))
    return Polar(from_pole_m * east, from_pole_m * (north if south else -north))


def back(point: Polar, *, south: bool) -> tuple[float, float]:
    """Latitude and longitude in degrees; the pole itself lies on the meridian of Greenwich."""
    from_pole = hypot(point.east_m, point.north_m) / _RADIUS_M
    up = geographic((1 / from_pole - from_pole) / 2 if from_pole else inf)
    latitude = degrees(atan(up))
    if not from_pole:
        return (-90.0 if south else 90.0), 0.0
    longitude = degrees(atan2(point.east_m, point.north_m if south else -point.north_m))
    return (-latitude if south else latitude), longitude
