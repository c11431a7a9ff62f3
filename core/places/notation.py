"""How a position is written. Rounding is exact and carries: 59.9999 minutes never show as 60.

(Reading what people type, and the grids, come with the places part.)
"""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from core.fix import Position


class Notation(Enum):
    """The forms in degrees."""

    DECIMAL = "decimal degrees"
    DEGREES_MINUTES = "degrees and minutes"
    DEGREES_MINUTES_SECONDS = "degrees, minutes, seconds"


class Written(NamedTuple):
    """A position in words, latitude and longitude apart, each with its hemisphere."""

    latitude: str
    longitude: str


def write(position: Position, notation: Notation) -> Written:
    """The position to about a metre: 5 decimals of a degree, 3 of a minute, 1 of a second."""
    form = _FORMS[notation]
    return Written(
        form(position.latitude_deg, 2) + (" S" if position.latitude_deg < 0 else " N"),
        form(position.longitude_deg, 3) + (" W" if position.longitude_deg < 0 else " E"),
    )


def _rounded(value: float, steps_per_degree: int) -> int:
    """The magnitude in whole steps, halves away from zero. Exact: a float times 3600 may round twice."""
    return int(Fraction(abs(value)) * steps_per_degree + Fraction(1, 2))


def _decimal(value: float, width: int) -> str:
    degrees, fraction = divmod(_rounded(value, 100_000), 100_000)
    return f"{degrees:0{width}d}.{fraction:05d}°"


def _degrees_minutes(value: float, width: int) -> str:
    degrees, thousandths = divmod(_rounded(value, 60_000), 60_000)
    return f"{degrees:0{width}d}° {thousandths // 1000:02d}.{thousandths % 1000:03d}'"


def _degrees_minutes_seconds(value: float, width: int) -> str:
    degrees, tenths = divmod(_rounded(value, 36_000), 36_000)
    minutes, tenths = divmod(tenths, 600)
    return f"{degrees:0{width}d}° {minutes:02d}' {tenths // 10:02d}.{tenths % 10}\""


_FORMS: dict[Notation, Callable[[float, int], str]] = {
    Notation.DECIMAL: _decimal,
    Notation.DEGREES_MINUTES: _degrees_minutes,
    Notation.DEGREES_MINUTES_SECONDS: _degrees_minutes_seconds,
}
