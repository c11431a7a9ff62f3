"""Declination: what lies between a compass and true north, by the World Magnetic Model 2025.

The coefficients are named, so a newer release of the library cannot swap the model under us. Facts: WMM2025 is valid
from 2025.0 to the end of 2029; one sigma of its declination is sqrt(0.26^2 + (5417 / H)^2) degrees, crust and
disturbed days included statistically, iron nearby not; below 6000 nT of horizontal field a compass needs caution,
below 2000 nT it is no guide (trade-facts.md e, S39 and S40).
"""

from __future__ import annotations

import math
from datetime import date
from functools import lru_cache
from threading import Lock
from typing import TYPE_CHECKING, NamedTuple

from core.fix import Position

if TYPE_CHECKING:
    from pygeomag import GeoMag

FIRST_YEAR, END_YEAR = 2025.0, 2030.0
"""Valid from the first to below the second (trade-facts.md e)."""
LAST_DAY = date(2029, 12, 31)
LOWEST_M, HIGHEST_M = -1000.0, 850_000.0
"""Heights the model is made for (WMM2025 report, from memory)."""
CAUTION_NT, BLACKOUT_NT = 6000.0, 2000.0
_BASE_SIGMA_DEG, _FIELD_SIGMA_NT = 0.26, 5417.0
_ONE_AT_A_TIME = Lock()
"""The library keeps its working figures between the steps of one calculation: two threads would mix theirs."""


class Declination(NamedTuple):
    """Direction of magnetic north at one place and time."""

    deg: float
    """East of true north positive, -180 to 180: true = magnetic + this."""
    uncertainty_deg: float
    """One sigma, up to 180. It means nothing when `valid` is False."""
    horizontal_nt: float
    """Strength of the horizontal field, which is what turns a compass needle."""
    zone: str
    """Empty, "caution" (the compass is weak here) or "blackout" (no compass guidance)."""
    valid: bool
    """Whether the day and the height are ones the model is made for."""


def declination(position: Position, day: date, ellipsoid_height_m: float = 0.0) -> Declination:
    """The declination on one day; the height is above the ellipsoid (altitude plus geoid separation)."""
    return declination_in(position, decimal_year(day), ellipsoid_height_m)


def declination_in(position: Position, year: float, ellipsoid_height_m: float = 0.0) -> Declination:
    """The same for a decimal year. Outside its years and heights the model is stretched, and `valid` says so."""
    height_m = min(HIGHEST_M, max(LOWEST_M, ellipsoid_height_m))
    deg, horizontal_nt = _field(position, year, height_m)
    valid = FIRST_YEAR <= year < END_YEAR and height_m == ellipsoid_height_m
    return Declination(deg, _sigma_deg(horizontal_nt), horizontal_nt, _zone(horizontal_nt), valid)


def decimal_year(day: date) -> float:
    """The start of this day as a year with its fraction: 2025.0 is 1 January 2025."""
    first = date(day.year, 1, 1).toordinal()
    length = 366 if _is_leap(day.year) else 365
    return day.year + (day.toordinal() - first) / length


def magnetic_from_true(bearing_deg: float, found: Declination) -> float:
    """A true bearing as a compass one, 0 to below 360."""
    return (bearing_deg - found.deg) % 360.0 % 360.0


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def _field(position: Position, year: float, height_m: float) -> tuple[float, float]:
    """Declination in degrees and horizontal field in nT. The model takes kilometres above the ellipsoid."""
    with _ONE_AT_A_TIME:
        found = _model().calculate(*position, height_m / 1000.0, year, allow_date_outside_lifespan=True)
    return found.d, found.h


@lru_cache(maxsize=1)
def _model() -> GeoMag:
    """Loaded when first asked for: start-up does without."""
    from pygeomag import GeoMag
    from pygeomag.wmm.wmm_2025 import WMM_2025

    return GeoMag(coefficients_data=WMM_2025)


def _sigma_deg(horizontal_nt: float) -> float:
    if horizontal_nt * 180.0 <= _FIELD_SIGMA_NT:
        return 180.0
    return min(180.0, math.hypot(_BASE_SIGMA_DEG, _FIELD_SIGMA_NT / horizontal_nt))


def _zone(horizontal_nt: float) -> str:
    if horizontal_nt < BLACKOUT_NT:
        return "blackout"
    return "caution" if horizontal_nt < CAUTION_NT else ""
