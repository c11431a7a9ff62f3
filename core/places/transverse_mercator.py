"""The transverse Mercator projection of WGS 84 at the scale of UTM: metres east and north of a central meridian.

Krueger's series in the third flattening, to its sixth power: C. F. F. Karney, "Transverse Mercator with an accuracy of
a few nanometers", J. Geodesy 85 (2011), equations 10 to 12, 14 to 18, 35 and 36, from which the figures below are. Good
to a few nanometres wherever UTM is used. In plain floats, since every fix and every square that is tried asks for it:
pygeodesy's, to which the tests hold it, takes milliseconds for its exact sums.
"""

from __future__ import annotations

from cmath import cos, sin
from math import asinh, atan, atan2, degrees, hypot, radians, sinh, tan
from math import cos as cosine
from math import sin as sine
from typing import NamedTuple

from core.places.conformal import conformal, geographic
from core.places.geodesic import FLATTENING, SEMI_MAJOR_M

SCALE = 0.9996
_N = FLATTENING / (2 - FLATTENING)

# A row a multiple of the angle: what stands before the powers of n, the first being that multiple.
_FORWARD_ROWS = (
    (1 / 2, -2 / 3, 5 / 16, 41 / 180, -127 / 288, 7891 / 37800),
    (13 / 48, -3 / 5, 557 / 1440, 281 / 630, -1983433 / 1935360),
    (61 / 240, -103 / 140, 15061 / 26880, 167603 / 181440),
    (49561 / 161280, -179 / 168, 6601661 / 7257600),
    (34729 / 80640, -3418889 / 1995840),
    (212378941 / 319334400,),
)
_BACK_ROWS = (
    (1 / 2, -2 / 3, 37 / 96, -1 / 360, -81 / 512, 96199 / 604800),
    (1 / 48, 1 / 15, -437 / 1440, 46 / 105, -1118711 / 3870720),
    (17 / 480, -37 / 840, -209 / 4480, 5569 / 90720),
    (4397 / 161280, -11 / 504, -830251 / 7257600),
    (4583 / 161280, -108847 / 3991680),
    (20648693 / 638668800,),
)


def _summed(rows: tuple[tuple[float, ...], ...]) -> tuple[float, ...]:
    return tuple(sum(part * _N**power for power, part in enumerate(row, first)) for first, row in enumerate(rows, 1))


_FORWARD, _BACK = _summed(_FORWARD_ROWS), _summed(_BACK_ROWS)
_RADIUS_M = SCALE * SEMI_MAJOR_M / (1 + _N) * (1 + _N**2 / 4 + _N**4 / 64 + _N**6 / 256)
"""Of the circle as long as a meridian, at the scale of UTM."""


class Projected(NamedTuple):
    """A point of the plane, unfalsed."""

    east_m: float
    """From the central meridian."""
    north_m: float
    """From the equator."""


def forward(latitude_deg: float, east_deg: float) -> Projected:
    """The point at a latitude, so many degrees east of the central meridian; meant for the zones of UTM."""
    tangent, east = tan(radians(latitude_deg)), radians(east_deg)
    upright = conformal(tangent)
    sphere = complex(atan2(upright, cosine(east)), asinh(sine(east) / hypot(upright, cosine(east))))
    plane = (sphere + _waves(_FORWARD, sphere)) * _RADIUS_M
    return Projected(plane.imag, plane.real)


def back(point: Projected) -> tuple[float, float]:
    """Latitude, and degrees east of the central meridian. Far beyond all grids no figures, or OverflowError."""
    plane = complex(point.north_m, point.east_m) / _RADIUS_M
    sphere = plane - _waves(_BACK, plane)
    across, along = sinh(sphere.imag), cosine(sphere.real)
    tangent = geographic(sine(sphere.real) / hypot(across, along))
    return degrees(atan(tangent)), degrees(atan2(across, along))


def _waves(coefficients: tuple[float, ...], angle: complex) -> complex:
    """The sum of coefficient j times sin 2 j angle, j from 1, by Clenshaw's recurrence: two sines for all of them."""
    twice, later, latest = 2 * cos(2 * angle), 0j, 0j
    for coefficient in reversed(coefficients):
        latest, later = coefficient + twice * latest - later, latest
    return latest * sin(2 * angle)
