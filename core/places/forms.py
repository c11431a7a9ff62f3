"""Every form of a place side by side, with no more figures than the fix is worth."""

from __future__ import annotations

import math

from core.fix import Position
from core.places.notation import Form, Notation, write

_STEPS_M: dict[Form, dict[int, float]] = {
    Form.DECIMAL: {n: 111_195 / 10**n for n in range(1, 8)},
    Form.DEGREES_MINUTES: {n: 1_853 / 10**n for n in range(6)},
    Form.DEGREES_MINUTES_SECONDS: {n: 30.9 / 10**n for n in range(4)},
    Form.UTM: {0: 1.0},
    Form.MGRS: {n: 10.0 ** (5 - n) for n in range(1, 6)},
    # Height of the box: a degree of latitude, 2.5 minutes, 15 seconds, 0.625 seconds.
    Form.LOCATOR: {4: 111_195, 6: 4_633, 8: 463, 10: 19.3},
}
_STEPS_M[Form.ISO6709] = _STEPS_M[Form.GEO_URI] = _STEPS_M[Form.DECIMAL]
"""Figures -> worth of the last one in metres: decimals of the last unit, figures each way of a grid reference,
characters of a locator. A degree of the mean sphere of 6,371 km is 111,195 m."""
_USUAL = {
    Form.DECIMAL: 5,
    Form.DEGREES_MINUTES: 3,
    Form.DEGREES_MINUTES_SECONDS: 1,
    Form.UTM: 0,
    Form.MGRS: 5,
    Form.LOCATOR: 6,
    Form.ISO6709: 5,
    Form.GEO_URI: 5,
}
"""For an error that nobody knows: about a metre; the locator as it is exchanged on the air (common practice)."""


def digits_for(error_m: float | None, form: Form) -> int:
    """How many figures to show for a 95 % error: the fewest whose last step is not above the error.

    Decimals of the last unit in degrees, minutes or seconds; figures each way of a grid reference (1 to 5); characters
    of a locator (4 to 10); always 0 for UTM. An unknown error (None, or not a number) gives the usual number.
    """
    if error_m is None or math.isnan(error_m):
        return _USUAL[form]
    steps = _STEPS_M[form]
    return next((figures for figures, step_m in steps.items() if step_m <= error_m), max(steps))


def ellipsoidal_height_m(altitude_m: float | None, separation_m: float | None) -> float | None:
    """Above the ellipsoid: altitude above mean sea level plus the geoid's height; None where either is unknown."""
    return None if altitude_m is None or separation_m is None else altitude_m + separation_m


def all_forms(
    position: Position,
    altitude_m: float | None = None,
    separation_m: float | None = None,
    error_m: float | None = None,
) -> dict[str, str]:
    """The place in every form, by the keys of contract.md; `error_m` is the fix's 95 % error."""
    from core.places.geo_uri import geo_uri
    from core.places.grids import utm
    from core.places.iso6709 import iso6709
    from core.places.locator import locator
    from core.places.mgrs import mgrs

    height = ellipsoidal_height_m(altitude_m, separation_m)
    figures = {form: digits_for(error_m, form) for form in Form}
    degrees = {
        Form[notation.name].value: " ".join(write(position, notation, figures[Form[notation.name]]))
        for notation in Notation
    }
    return degrees | {
        Form.UTM.value: utm(position),
        Form.MGRS.value: mgrs(position, figures[Form.MGRS]),
        Form.LOCATOR.value: locator(position, figures[Form.LOCATOR]),
        Form.ISO6709.value: iso6709(position, height, figures[Form.ISO6709]),
        Form.GEO_URI.value: geo_uri(position, height, figures[Form.GEO_URI]),
    }
