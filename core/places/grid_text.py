"""Grid coordinates and grid references as people type them."""

from __future__ import annotations

import re

from core.fix import Position
from core.places.found import Reading, step_deg
from core.places.grids import BANDS, POLAR_BANDS, UPS_ZONE, Grid, place
from core.places.mgrs import square
from core.places.notation import Form

_METRES = r"(\d{1,8}(?:\.\d+)?)"
_PAIR = rf"[ ,]*{_METRES} ?(?:m ?e|m|e)?[ ,]+{_METRES} ?(?:m ?n|m|n)?"
_UTM = re.compile(rf"(?:utm )?(?:zone )?(\d{{1,2}}) ?([a-z])(?:(?<=[ns])orth|(?<=s)outh)?{_PAIR}", re.ASCII)
_UPS = re.compile(rf"(?:ups )?(?:0?0 ?)?([abyzns])(?:(?<=n)orth|(?<=s)outh)?{_PAIR}", re.ASCII)
_UTM_EASTINGS, _UTM_NORTHINGS = (100_000, 900_000), (0, 10_000_000)
_UPS_LIMITS = {True: (800_000, 3_200_000), False: (1_300_000, 2_700_000)}
"""Reach of UPS both ways in metres, by whether it is the southern one (DMA TM 8358.2)."""
_BAND_SLACK_DEG = 1e-4
"""A point on the edge of a band, rounded to whole metres, may fall ten metres outside."""


def parse_grid(text: str) -> list[Reading]:
    """Readings as MGRS, UTM or UPS; the text in lower case with single spaces."""
    return _as_mgrs(text) + _as_utm(text) + _as_ups(text)


def _as_mgrs(text: str) -> list[Reading]:
    found = square(text)
    if found is None:
        return []
    explanation = f"grid reference, middle of the {_size(found.size_m)} square"
    return [Reading(found.centre, Form.MGRS, found.size_m * 0.5**0.5, explanation)]


def _size(metres: int) -> str:
    return f"{metres} m" if metres < 1000 else f"{metres // 1000} km"


def _as_utm(text: str) -> list[Reading]:
    found = _UTM.fullmatch(text)
    if found is None or not 1 <= int(found[1]) <= 60:
        return []
    easting, northing = float(found[3]), float(found[4])
    if not _within(easting, _UTM_EASTINGS) or not _within(northing, _UTM_NORTHINGS):
        return []
    readings = [_by_band(Grid(int(found[1]), found[2].upper(), easting, northing))]
    if found[2] in "ns":
        readings.append(_by_hemisphere(Grid(int(found[1]), found[2].upper(), easting, northing)))
    return [_reading(*one, _step(found)) for one in readings if one]


def _within(value: float, limits: tuple[int, int]) -> bool:
    return limits[0] <= value <= limits[1]


def _step(found: re.Match[str]) -> float:
    """Worth of the last digit of the coarser figure, metres."""
    return max(step_deg(found[found.re.groups - 1]), step_deg(found[found.re.groups]))


def _by_band(point: Grid) -> tuple[Position, str] | None:
    """The letter as a band, if the point lies in it."""
    if point.band not in BANDS:
        return None
    position = place(point)
    south = BANDS.index(point.band) * 8 - 80
    north = 84 if point.band == "X" else south + 8
    inside = south - _BAND_SLACK_DEG <= position.latitude_deg <= north + _BAND_SLACK_DEG
    return (position, f"UTM zone {point.zone}, band {point.band}") if inside else None


def _by_hemisphere(point: Grid) -> tuple[Position, str] | None:
    """The letter N or S as north or south."""
    south = point.band == "S"
    position = place(point._replace(band="M" if south else "N"))
    if not -80.5 <= position.latitude_deg <= 84.5:
        return None
    return position, f"UTM zone {point.zone}, {'southern' if south else 'northern'} hemisphere"


def _as_ups(text: str) -> list[Reading]:
    found = _UPS.fullmatch(text)
    if found is None:
        return []
    band = found[1].upper()
    south = band in "ABS"
    easting, northing = float(found[2]), float(found[3])
    if not (_within(easting, _UPS_LIMITS[south]) and _within(northing, _UPS_LIMITS[south])):
        return []
    if band in POLAR_BANDS and (band in "BZ") != (easting >= 1_999_999.5) and easting != 2_000_000:
        return []
    point = Grid(UPS_ZONE, "A" if south else "Y", easting, northing)
    return [_reading(place(point), f"UPS, {'south' if south else 'north'} pole", _step(found))]


def _reading(position: Position, explanation: str, step_m: float) -> Reading:
    return Reading(position, Form.UTM, step_m * 0.5**0.5, explanation)
