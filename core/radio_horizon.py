"""How far the horizon is for radio, which air bends a little beyond that of the eye. Not a promise of coverage.

FS-1037C, "radio horizon range": over a smooth earth of 4/3 its radius, 2.23 sqrt(h) nautical miles, that is 4.12
sqrt(h) kilometres for a height of h metres; two stations see each other up to the sum of both. Hills, woods and houses
shorten it, and the weather does what it likes.
"""

from __future__ import annotations

import math

METRES_PER_ROOT_METRE = 4120.0


def horizon_m(height_m: float) -> float | None:
    """Distance of the radio horizon for an antenna so high above the ground around; None below it."""
    return METRES_PER_ROOT_METRE * math.sqrt(height_m) if height_m >= 0.0 else None


def both_horizons_m(one_m: float | None, other_m: float | None) -> float | None:
    """Up to which distance two antennas are within each other's horizon; None where a height is unknown."""
    if one_m is None or other_m is None:
        return None
    near, far = horizon_m(one_m), horizon_m(other_m)
    return None if near is None or far is None else near + far
