"""Grid north against true north on the UTM and UPS grids.

UTM by the series of Krüger in the form of Karney 2011 ("Transverse Mercator with an accuracy of a few nanometers",
written from memory, tested against a library's figures to 1e-9 degrees); UPS by its definition. Which grid applies:
UTM from 80 degrees south to below 84 degrees north, with the wider zones of south-west Norway and Svalbard (DMA
TM 8358.2).
"""

from __future__ import annotations

import math
from typing import NamedTuple

from core.fix import Position
from core.places.geodesic import FLATTENING

_N = FLATTENING / (2 - FLATTENING)
_ECCENTRICITY = math.sqrt(FLATTENING * (2 - FLATTENING))
_ALPHA = (
    _N / 2 - 2 * _N**2 / 3 + 5 * _N**3 / 16 + 41 * _N**4 / 180,
    13 * _N**2 / 48 - 3 * _N**3 / 5 + 557 * _N**4 / 1440,
    61 * _N**3 / 240 - 103 * _N**4 / 140,
    49561 * _N**4 / 161280,
)
"""Krüger's coefficients to the fourth power of the third flattening; the next is below 1e-13."""
_WIDER_ZONES = (
    ((56, 64), ((3, 12, 32),)),
    ((72, 84), ((0, 9, 31), (9, 21, 33), (21, 33, 35), (33, 42, 37))),
)
"""Latitudes from and to; then longitude from, to and the zone: south-west Norway, Svalbard."""


class Convergence(NamedTuple):
    """Direction of grid north at one place."""

    deg: float
    """East of true north positive, -180 to 180: grid bearing = true bearing - this."""
    grid: str
    """Which grid: "UTM 32", "UPS north", "UPS south"."""


def convergence(position: Position) -> Convergence:
    """The convergence of the grid that a map of this place carries."""
    latitude_deg, longitude_deg = position
    if latitude_deg >= 84.0:
        return Convergence(_signed(longitude_deg), "UPS north")
    if latitude_deg < -80.0:
        return Convergence(_signed(-longitude_deg), "UPS south")
    zone = utm_zone(position)
    return Convergence(_transverse_mercator(latitude_deg, _signed(longitude_deg - (6 * zone - 183))), f"UTM {zone}")


def utm_zone(position: Position) -> int:
    """The UTM zone of a place, 1 to 60; 180 degrees east is 180 degrees west."""
    east_deg = _signed(position.longitude_deg)
    for (south, north), zones in _WIDER_ZONES:
        if south <= position.latitude_deg < north:
            for west, east, zone in zones:
                if west <= east_deg < east:
                    return zone
    return int((east_deg + 180.0) // 6.0) % 60 + 1


def grid_from_true(bearing_deg: float, found: Convergence) -> float:
    """A true bearing as a grid one, 0 to below 360."""
    return (bearing_deg - found.deg) % 360.0 % 360.0


def _signed(angle_deg: float) -> float:
    """-180 to below 180."""
    return (angle_deg + 180.0) % 360.0 - 180.0


def _transverse_mercator(latitude_deg: float, from_meridian_deg: float) -> float:
    """Karney 2011, eq. 7 to 12 and 23 to 26: on the conformal sphere, then what the ellipsoid adds."""
    east = math.radians(from_meridian_deg)
    conformal = _conformal_tangent(math.tan(math.radians(latitude_deg)))
    xi = math.atan2(conformal, math.cos(east))
    eta = math.asinh(math.sin(east) / math.hypot(conformal, math.cos(east)))
    p, q = 1.0, 0.0
    for order, alpha in enumerate(_ALPHA, start=1):
        p += 2 * order * alpha * math.cos(2 * order * xi) * math.cosh(2 * order * eta)
        q += 2 * order * alpha * math.sin(2 * order * xi) * math.sinh(2 * order * eta)
    on_sphere = math.atan2(conformal * math.tan(east), math.hypot(1.0, conformal))
    return math.degrees(on_sphere + math.atan2(q, p))


def _conformal_tangent(tangent: float) -> float:
    """Tangent of the conformal latitude from that of the geographic one."""
    root = math.hypot(1.0, tangent)
    sigma = math.sinh(_ECCENTRICITY * math.atanh(_ECCENTRICITY * tangent / root))
    return tangent * math.hypot(1.0, sigma) - sigma * root
