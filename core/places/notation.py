"""How a position is written in degrees. Rounding is exact and carries: 59.9999 minutes never show as 60.

The grids, the locator and the strings for machines have modules of their own; `core.places.forms` writes all of them,
`core.places.reading` reads them.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum, StrEnum
from fractions import Fraction
from typing import NamedTuple

from core.fix import Position


class Notation(Enum):
    """The forms in degrees."""

    DECIMAL = "decimal degrees"
    DEGREES_MINUTES = "degrees and minutes"
    DEGREES_MINUTES_SECONDS = "degrees, minutes, seconds"


class Form(StrEnum):
    """Every form a place is written in or read from; the words are those of contract.md's JSON.

    The first three have the names of `Notation`, so `Form[notation.name]` is the same form.
    """

    DECIMAL = "decimal"
    DEGREES_MINUTES = "degrees_minutes"
    DEGREES_MINUTES_SECONDS = "degrees_minutes_seconds"
    UTM = "utm"
    MGRS = "mgrs"
    LOCATOR = "locator"
    ISO6709 = "iso6709"
    GEO_URI = "geo_uri"


class Written(NamedTuple):
    """A position in words, latitude and longitude apart, each with its hemisphere."""

    latitude: str
    longitude: str


def write(position: Position, notation: Notation, decimals: int | None = None) -> Written:
    """The position with 0 to 9 decimals of its last unit.

    Without `decimals` to about a metre: 5 of a degree, 3 of a minute, 1 of a second.
    """
    form, usual = _FORMS[notation]
    digits = usual if decimals is None else decimals
    return Written(
        form(position.latitude_deg, 2, digits) + (" S" if position.latitude_deg < 0 else " N"),
        form(position.longitude_deg, 3, digits) + (" W" if position.longitude_deg < 0 else " E"),
    )


def rounded(value: float, steps_per_degree: int) -> int:
    """The magnitude in whole steps, halves away from zero. Exact: a float times 3600 may round twice."""
    return int(Fraction(abs(value)) * steps_per_degree + Fraction(1, 2))


def _number(steps: int, width: int, decimals: int) -> str:
    """Whole steps of 10^-decimals as a decimal number, `width` digits before the point."""
    whole, fraction = divmod(steps, 10**decimals)
    return f"{whole:0{width}d}" + (f".{fraction:0{decimals}d}" if decimals else "")


def _decimal(value: float, width: int, decimals: int) -> str:
    return _number(rounded(value, 10**decimals), width, decimals) + "°"


def _degrees_minutes(value: float, width: int, decimals: int) -> str:
    per_degree = 60 * 10**decimals
    degrees, steps = divmod(rounded(value, per_degree), per_degree)
    return f"{degrees:0{width}d}° {_number(steps, 2, decimals)}'"


def _degrees_minutes_seconds(value: float, width: int, decimals: int) -> str:
    per_minute = 60 * 10**decimals
    minutes, steps = divmod(rounded(value, 60 * per_minute), per_minute)
    return f"{minutes // 60:0{width}d}° {minutes % 60:02d}' {_number(steps, 2, decimals)}\""


_FORMS: dict[Notation, tuple[Callable[[float, int, int], str], int]] = {
    Notation.DECIMAL: (_decimal, 5),
    Notation.DEGREES_MINUTES: (_degrees_minutes, 3),
    Notation.DEGREES_MINUTES_SECONDS: (_degrees_minutes_seconds, 1),
}
"""Each with the decimals that come to about a metre."""
