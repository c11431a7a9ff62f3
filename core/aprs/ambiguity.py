"""Latitude and longitude as ddmm.hh with up to four digits left blank, and the box that others then see.

A blank is a digit not told. It is neither a zero nor a rounding: the place is cut to what remains, so that the box
always holds it (APRS Protocol Reference 1.0.1, chapter 6; R. Bruninga on position ambiguity, 8 January 2008).
"""

from __future__ import annotations

import math
from typing import NamedTuple

from core.fix import Position
from core.places.found import METRES_PER_DEGREE
from core.places.locator import Box
from core.places.notation import rounded

LEVELS = (0, 1, 2, 3, 4)
"""So many digits are left blank."""
_SIDES = (1, 10, 100, 1_000, 6_000)
"""By level: the side of the box in hundredths of a minute, 0.01' to a degree."""
_PER_DEGREE = 6_000
_FINE = 100_000
"""A hundredth of a minute in the steps that a place is first rounded to, 0.2 mm: 3.50' held as a float may be a hair
below itself, and cutting that would tell the box beside the one that the receiver shows."""
_LATITUDE, _LONGITUDE = 90, 180


class Coordinates(NamedTuple):
    """As they stand in the text."""

    latitude: str
    """8 characters, `4903.5 N`."""
    longitude: str
    """9 characters, `07201.7 W`."""


def coordinates(position: Position, level: int = 0) -> Coordinates:
    """The place with `level` (0 to 4) digits blank; without blanks, to the nearest hundredth of a minute.

    A pole and the antimeridian are written as the last step before them, 18.5 m away or less: readers refuse 90 degrees
    of latitude and 180 of longitude.
    """
    latitude, longitude = position
    return Coordinates(
        _written(_steps(latitude, _LATITUDE, level), 2, level) + ("S" if latitude < 0 else "N"),
        _written(_steps(longitude, _LONGITUDE, level), 3, level) + ("W" if longitude < 0 else "E"),
    )


def box(position: Position, level: int) -> Box:
    """Where others will take this place to be: anywhere in the box. Level 0: half a step around what is written."""
    latitude, longitude = position
    half = _SIDES[level] / _PER_DEGREE / 2
    centre = Position(_middle(latitude, _LATITUDE, level), _middle(longitude, _LONGITUDE, level))
    return Box(centre, half, half)


def box_size_m(position: Position, level: int) -> tuple[float, float]:
    """North to south, and west to east at this latitude."""
    side_m = _SIDES[level] / _PER_DEGREE * METRES_PER_DEGREE
    return side_m, side_m * math.cos(math.radians(box(position, level).centre.latitude_deg))


def ambiguity_for(error_m: float | None) -> int:
    """How many digits a position of this 95 % error does not know: the last one told is not worth more than it."""
    if error_m is None or math.isnan(error_m):
        return 0
    known = [level for level in LEVELS if _SIDES[level] / _PER_DEGREE * METRES_PER_DEGREE <= error_m]
    return max(known, default=0)


def _steps(value: float, limit: int, level: int) -> int:
    """Whole hundredths of a minute, cut where digits will be left blank, else rounded."""
    whole = rounded(value, _PER_DEGREE * _FINE) // _FINE if level else rounded(value, _PER_DEGREE)
    return min(whole, limit * _PER_DEGREE - 1)


def _middle(value: float, limit: int, level: int) -> float:
    side, steps = _SIDES[level], _steps(value, limit, level)
    middle = steps // side * side + side / 2 if level else steps
    return -middle / _PER_DEGREE if value < 0 else middle / _PER_DEGREE  # as the letter has it, a zero of any sign too


def _written(steps: int, width: int, level: int) -> str:
    degrees, hundredths = divmod(steps, _PER_DEGREE)
    digits = f"{degrees:0{width}d}{hundredths:04d}"
    told = digits[: len(digits) - level] + " " * level
    return f"{told[:-2]}.{told[-2:]}"
