"""The conformal latitude on WGS 84, by its tangent, and back: what every conformal projection begins with.

C. F. F. Karney, "Transverse Mercator with an accuracy of a few nanometers", J. Geodesy 85 (2011), equations 7 to 9 and
19 to 21.
"""

from __future__ import annotations

from math import atanh, inf, isinf, sinh, sqrt

from core.places.geodesic import FLATTENING

E2 = FLATTENING * (2 - FLATTENING)
ECCENTRICITY = sqrt(E2)
_MOST_STEPS = 6
"""Newton's: two or three do near the earth, and a point beyond all grids must not keep the reader."""


def conformal(tangent: float) -> float:
    """The tangent of the conformal latitude, of the geographic one's."""
    secant = sqrt(1 + tangent * tangent)
    bent = sinh(ECCENTRICITY * atanh(ECCENTRICITY * tangent / secant))
    return tangent * sqrt(1 + bent * bent) - bent * secant


def geographic(conformal_tangent: float) -> float:
    """The way back, by Newton's method; a pole stays one."""
    if isinf(conformal_tangent):
        return conformal_tangent
    tangent, step, steps = conformal_tangent / (1 - E2), inf, 0
    while abs(step) > 1e-15 * max(1.0, abs(tangent)) and steps < _MOST_STEPS:
        met = conformal(tangent)
        slope = (1 + (1 - E2) * tangent * tangent) / ((1 - E2) * sqrt(1 + tangent * tangent))
        step = (conformal_tangent - met) / sqrt(1 + met * met) * slope
        tangent, steps = tangent + step, steps + 1
    return tangent
