"""The IARU (Maidenhead) locator: the square a point lies in.

Definition: IARU Region 1, on WGS 84 since 1999. Pairs alternate letters and digits: fields of 20 by 10 degrees, squares
of 2 by 1, subsquares of 5' by 2.5', extended squares of 30" by 15". The fifth pair (letters again) is common practice,
not in the definition. The locator names a box, so it is truncated, never rounded.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from core.fix import Position

_DIVISIONS = (18, 10, 24, 10, 24)
_FIRST_CHARACTERS = ("A", "0", "a", "0", "a")
_SHAPE = re.compile(r"[A-R]{2}[0-9]{2}(?:[A-X]{2}(?:[0-9]{2}(?:[A-X]{2})?)?)?", re.IGNORECASE | re.ASCII)


class Box(NamedTuple):
    """The piece of the earth that a locator names."""

    centre: Position
    half_latitude_deg: float
    half_longitude_deg: float


def locator(position: Position, characters: int = 6) -> str:
    """The locator with 4, 6, 8 or 10 characters.

    Exact: worked out in fractions, so a point a hair below an edge stays below it. The north pole belongs to the
    northernmost row, and 180 degrees east is 180 degrees west. Raises ValueError for another number of characters.
    """
    if characters not in {4, 6, 8, 10}:
        raise ValueError(f"a locator has 4, 6, 8 or 10 characters, not {characters}")
    east = ((Fraction(position.longitude_deg) + 180) % 360) / 360
    north = (Fraction(position.latitude_deg) + 90) / 180
    pairs = zip(_digits(east, characters // 2), _digits(north, characters // 2), _FIRST_CHARACTERS, strict=False)
    return "".join(chr(ord(first) + column) + chr(ord(first) + row) for column, row, first in pairs)


def box(text: str) -> Box:
    """The box of a locator with 4, 6, 8 or 10 characters, in capitals or not. Raises ValueError for any other text."""
    if not _SHAPE.fullmatch(text):
        raise ValueError(
            "a locator has 4, 6, 8 or 10 characters: two letters A to R, two digits, two letters A to X ..."
        )
    # Whole numbers: the cell's place is counted in cells, and a division of integers is rounded once, rightly.
    east = north = 0
    cells = 1
    # An upper case "A" begins every pair of letters once the text is in capitals.
    for n, first in enumerate(_FIRST_CHARACTERS[: len(text) // 2]):
        column, row = (ord(character) - ord(first.upper()) for character in text[2 * n : 2 * n + 2].upper())
        cells *= _DIVISIONS[n]
        east, north = east * _DIVISIONS[n] + column, north * _DIVISIONS[n] + row
    centre = Position((2 * north + 1 - cells) * 90 / cells, (2 * east + 1 - cells) * 180 / cells)
    return Box(centre, 90 / cells, 180 / cells)


def _digits(part: Fraction, count: int) -> list[int]:
    """The mixed-base digits of a number from 0 to 1; 1 itself becomes the last cell."""
    found = []
    clamped = part >= 1
    for divisions in _DIVISIONS[:count]:
        part *= divisions
        digit = divisions - 1 if clamped else int(part)
        part -= digit
        found.append(digit)
    return found
