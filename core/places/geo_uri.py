"""`geo:` URIs (RFC 5870): `geo:48.2010,16.3695,183`, in WGS 84 unless another system is named."""

from __future__ import annotations

import re

from core.fix import Position
from core.places.found import Reading, corner_m, height_m, step_deg
from core.places.notation import Form, rounded

_NUMBER = r"(-?\d+(?:\.\d+)?)"
_SHAPE = re.compile(rf"geo:{_NUMBER},{_NUMBER}(?:,{_NUMBER})?((?:;[a-z0-9-]+(?:=[^;]*)?)*)", re.ASCII)
_UNCERTAINTY = re.compile(r"\d+(?:\.\d+)?", re.ASCII)
_ANYWHERE_M = 20_003_932.0
"""Half round the earth along a meridian (WGS 84): an uncertainty beyond it says no more than that."""


def geo_uri(position: Position, ellipsoidal_height_m: float | None = None, decimals: int = 5) -> str:
    """The URI, height only where it is known: the third number of WGS 84 is ellipsoidal (RFC 5870, section 3.4.2)."""
    numbers = [_decimal(position.latitude_deg, decimals), _decimal(position.longitude_deg, decimals)]
    if ellipsoidal_height_m is not None:
        numbers.append(f"{ellipsoidal_height_m:.1f}")
    return "geo:" + ",".join(numbers)


def parse_geo_uri(text: str) -> Reading | None:
    """What the URI names; None where the text is none, out of range or in another reference system."""
    found = _SHAPE.fullmatch(text.lower())
    if found is None:
        return None
    parameters = dict(part.partition("=")[::2] for part in found[4].split(";") if part)
    position = Position(float(found[1]), float(found[2]))
    in_range = abs(position.latitude_deg) <= 90 and abs(position.longitude_deg) <= 180
    if parameters.get("crs", "wgs84") != "wgs84" or not in_range:
        return None
    radius = corner_m(step_deg(found[1]) / 2, step_deg(found[2]) / 2, position.latitude_deg)
    stated = parameters.get("u", "")
    if _UNCERTAINTY.fullmatch(stated):
        radius = max(radius, min(float(stated), _ANYWHERE_M))
    return Reading(position, Form.GEO_URI, radius, "geo: URI in WGS 84", height_m(found[3]) if found[3] else None)


def _decimal(value: float, decimals: int) -> str:
    """Degrees, minus where south or west; what rounds to zero has no sign."""
    steps = rounded(value, 10**decimals)
    whole, fraction = divmod(steps, 10**decimals)
    sign = "-" if value < 0 and steps else ""
    return f"{sign}{whole}" + (f".{fraction:0{decimals}d}" if decimals else "")
