"""Where a row's station stands, how coarsely that was given, and why not where it was not.

Coordinates are taken before a place in other notations, and that before a locator. Where locator and coordinates
contradict each other nobody knows which is right: the station is put at the coordinates, and as coarse as the
locator's middle is away.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from core.errors import InputError
from core.fix import Position
from core.places.found import corner_m, step_deg
from core.places.geodesic import way
from core.places.locator import Box, box
from core.places.reading import read

_DECIMAL = re.compile(r"[+-]?\d{1,3}(?:[.,]\d{1,12})?", re.ASCII)
_POLE, _HALF_TURN = 90.0, 180.0
SLACK = 1e-9
"""Degrees: coordinates on the edge of a box belong to it, however they were rounded."""
NO_PLACE = "it has neither coordinates nor a locator nor a place"
ORIGIN = "0, 0 is what programs write where they know no place"
_Kept = lru_cache(maxsize=65_536)


class Given(NamedTuple):
    """What a row says of its place; empty where it says nothing."""

    latitude: str = ""
    longitude: str = ""
    place: str = ""
    locator: str = ""

    @property
    def words(self) -> str:
        """As the list gives it."""
        both = f"{self.latitude} {self.longitude}".strip()
        return ", ".join(one for one in (both, self.place, self.locator) if one)


class Placed(NamedTuple):
    """What came of it."""

    position: Position | None
    radius_m: float | None
    why_not: str = ""
    """Where there is no position, or it was not the one that was meant first."""
    disagreement: str = ""
    """Between locator and coordinates; empty where there is none."""


def placed(given: Given) -> Placed:
    """The best that the row says."""
    found, troubles = None, []
    for attempt in (_by_coordinates, _by_place):
        found, trouble = attempt(given)
        if trouble:
            troubles.append(trouble)
        if found:
            break
    square = _box(given.locator) if given.locator else None
    if given.locator and square is None:
        troubles.append(f"{given.locator[:12]!r} is no locator")
    why = "; ".join(troubles)
    if found is None:
        return _in_box(square, why) if square else Placed(None, None, why or NO_PLACE)
    return _checked(found, square, given.locator, why)


class _Found(NamedTuple):
    position: Position
    radius_m: float


def _by_coordinates(given: Given) -> tuple[_Found | None, str]:
    texts = (given.latitude, given.longitude)
    if not any(texts):
        return None, ""
    if not all(texts):
        return None, "it has a latitude without a longitude, or the other way round"
    if not all(_DECIMAL.fullmatch(text) for text in texts):
        return _read(" ".join(texts))
    plain = [text.replace(",", ".") for text in texts]
    latitude, longitude = (float(text) for text in plain)
    trouble = _out_of_range(latitude, longitude)
    if trouble:
        return None, trouble
    half = [step_deg(text) / 2 for text in plain]
    return _Found(Position(latitude, longitude), corner_m(half[0], half[1], latitude)), ""


def _out_of_range(latitude: float, longitude: float) -> str:
    """Why the figures are no place; empty where they are one."""
    if abs(latitude) <= _POLE and abs(longitude) <= _HALF_TURN:
        return ORIGIN if latitude == longitude == 0.0 else ""
    if abs(longitude) <= _POLE and abs(latitude) <= _HALF_TURN:
        return f"latitude {latitude:g} is beyond a pole: are the columns swapped?"
    return "latitudes go from -90 to 90, longitudes from -180 to 180"


def _by_place(given: Given) -> tuple[_Found | None, str]:
    return _read(given.place) if given.place else (None, "")


def _read(text: str) -> tuple[_Found | None, str]:
    try:
        readings = read(text)
    except InputError as error:
        return None, str(error).partition(". Write ")[0]
    if len(readings) > 1:
        return None, f"{text[:40]!r} can mean {len(readings)} places"
    return _Found(readings[0].position, readings[0].radius_m), ""


@_Kept
def _box(text: str) -> Box | None:
    """Kept: stations on one hill share a locator, and its exact box is the dearest step of a row."""
    try:
        return box(text.replace(" ", ""))
    except ValueError:
        return None


def _in_box(square: Box, why: str) -> Placed:
    radius_m = corner_m(square.half_latitude_deg, square.half_longitude_deg, square.centre.latitude_deg)
    return Placed(square.centre, radius_m, why)


def _checked(found: _Found, square: Box | None, locator: str, why: str) -> Placed:
    if square is None or _is_inside(found, square):
        return Placed(found.position, found.radius_m, why)
    apart_m = way(found.position, square.centre).distance_m
    radius_m = max(found.radius_m, apart_m)
    words = f"the coordinates lie {apart_m / 1000:.1f} km from the middle of {locator}: one of the two is wrong"
    return Placed(found.position, radius_m, why, words)


def _is_inside(found: _Found, square: Box) -> bool:
    """As far as coordinates of this coarseness can tell; a rounded one may lie just outside."""
    north = abs(found.position.latitude_deg - square.centre.latitude_deg)
    east = abs((found.position.longitude_deg - square.centre.longitude_deg + 180.0) % 360.0 - 180.0)
    if north <= square.half_latitude_deg + SLACK and east <= square.half_longitude_deg + SLACK:
        return True
    near = Position(
        _nearest(found.position.latitude_deg, square.centre.latitude_deg, square.half_latitude_deg),
        _nearest_longitude(found.position.longitude_deg, square),
    )
    return way(found.position, near).distance_m <= found.radius_m


def _nearest(value: float, middle: float, half: float) -> float:
    return min(max(value, middle - half), middle + half)


def _nearest_longitude(longitude_deg: float, square: Box) -> float:
    east = (longitude_deg - square.centre.longitude_deg + 180.0) % 360.0 - 180.0
    half = square.half_longitude_deg
    return (square.centre.longitude_deg + min(max(east, -half), half) + 180.0) % 360.0 - 180.0
