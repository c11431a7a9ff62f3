"""ISO 6709 Annex H strings: `+40.20361-075.00417+12.5CRSWGS_84/`.

Signs always, two digits of latitude and three of longitude, then minutes and seconds without any mark, so the number
of digits tells the form. The equator and the meridian of Greenwich are positive, the 180th meridian is negative. Height
comes with its reference system and is ellipsoidal. Rules from memory and as in tests/data/iso6709.csv.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from core.fix import Position
from core.places.found import Reading, corner_m, height_m
from core.places.notation import Form, rounded

_SHAPE = re.compile(
    r"([+-])(\d{2}|\d{4}|\d{6})(\.\d+)?"
    r"([+-])(\d{3}|\d{5}|\d{7})(\.\d+)?"
    r"([+-]\d+(?:\.\d+)?)?(?:CRS([A-Z0-9_:.]+))?/?",
    re.ASCII,
)
_WGS84 = {"WGS_84", "WGS84", "EPSG:4326", "EPSG:4979"}
_STYLES = ("whole degrees", "degrees and minutes", "degrees, minutes, seconds")


class _Angle(NamedTuple):
    degrees: Fraction
    step: Fraction
    """Worth of the last digit, in degrees."""
    parts: int
    """1 degrees, 2 with minutes, 3 with seconds."""


def iso6709(position: Position, ellipsoidal_height_m: float | None = None, decimals: int = 5) -> str:
    """The string in decimal degrees (0 to 9 decimals), with height and its reference system where it is known."""
    latitude = _signed(position.latitude_deg, 2, decimals)
    longitude = _signed(position.longitude_deg, 3, decimals)
    if longitude.startswith("+180") and not longitude.strip("+180."):
        longitude = "-" + longitude[1:]
    height = "" if ellipsoidal_height_m is None else f"{ellipsoidal_height_m:+.1f}CRSWGS_84"
    return f"{latitude}{longitude}{height}/"


def parse_iso6709(text: str) -> Reading | None:
    """What the string names; None where the text is no such string, is out of range or in another reference system."""
    found = _SHAPE.fullmatch(text.upper())
    if found is None or (found[8] or "WGS_84") not in _WGS84:
        return None
    latitude, longitude = _angle(found[1], found[2], found[3]), _angle(found[4], found[5], found[6])
    in_range = latitude and longitude and abs(latitude.degrees) <= 90 and abs(longitude.degrees) <= 180
    if not (latitude and longitude and in_range) or latitude.parts != longitude.parts:
        return None
    style = "decimal degrees" if latitude.parts == 1 and found[3] else _STYLES[latitude.parts - 1]
    position = Position(float(latitude.degrees), float(longitude.degrees))
    radius = corner_m(float(latitude.step) / 2, float(longitude.step) / 2, position.latitude_deg)
    return Reading(position, Form.ISO6709, radius, f"ISO 6709, {style}{_remark(found)}", _height(found))


def _height(found: re.Match[str]) -> float | None:
    """Only where its reference system is named: a bare height may be above anything."""
    return height_m(found[7]) if found[7] and found[8] else None


def _remark(found: re.Match[str]) -> str:
    return ", height left out: it names no reference system" if found[7] and not found[8] else ""


def _signed(value: float, width: int, decimals: int) -> str:
    """Degrees with sign; what rounds to zero is positive."""
    steps = rounded(value, 10**decimals)
    whole, fraction = divmod(steps, 10**decimals)
    sign = "-" if value < 0 and steps else "+"
    return f"{sign}{whole:0{width}d}" + (f".{fraction:0{decimals}d}" if decimals else "")


def _angle(sign: str, digits: str, fraction: str | None) -> _Angle | None:
    """Digits in pairs from the right: degrees, minutes, seconds. None where minutes or seconds reach 60."""
    parts = max(1, len(digits) // 2)
    pairs = [digits[len(digits) - 2 * n : len(digits) - 2 * n + 2] for n in range(parts - 1, 0, -1)]
    numbers = [digits[: len(digits) - 2 * len(pairs)], *pairs]
    numbers[-1] += fraction or ""
    values = [Fraction(number) for number in numbers]
    if any(value >= 60 for value in values[1:]):
        return None
    magnitude = sum((value / 60**n for n, value in enumerate(values)), Fraction(0))
    step = Fraction(1, 10 ** max(0, len(fraction or "") - 1)) / 60 ** (parts - 1)
    return _Angle(-magnitude if sign == "-" else magnitude, step, parts)
