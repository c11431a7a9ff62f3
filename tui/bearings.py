"""Bearings in the reference that the user chose: true, magnetic or grid, and always named."""

from __future__ import annotations

from datetime import date
from enum import Enum
from functools import lru_cache

from core.fix import Position


class Reference(Enum):
    """Which north bearings are counted from."""

    TRUE = "true"
    MAGNETIC = "magnetic"
    GRID = "grid"


def bearing_words(true_deg: float, reference: Reference, place: Position | None, day: date | None) -> str:
    """Three figures and the reference. What cannot be had (no date, no compass here) is given as true."""
    value, named = _converted(true_deg, reference, place, day)
    return f"{round(value) % 360:03d}° {named}"


def _converted(true_deg: float, reference: Reference, place: Position | None, day: date | None) -> tuple[float, str]:
    from core.places.convergence import convergence, grid_from_true

    if place is not None and reference is Reference.GRID:
        return grid_from_true(true_deg, convergence(place)), "grid"
    offset = _magnetic_offset(_coarse(place), day) if place and day and reference is Reference.MAGNETIC else None
    return (true_deg, "true") if offset is None else (true_deg + offset, "magnetic")


@lru_cache(maxsize=16)
def _magnetic_offset(place: Position, day: date) -> float | None:
    """What is added to a true bearing; None where no compass can be relied on."""
    from core.places.magnetic import declination, magnetic_from_true

    found = declination(place, day)
    return None if found.zone == "blackout" or not found.valid else magnetic_from_true(0.0, found)


def _coarse(place: Position) -> Position:
    return Position(round(place.latitude_deg, 2), round(place.longitude_deg, 2))
