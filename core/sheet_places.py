"""A trip sheet's places: every form, the norths, the light of the day; and the sun by the hour at the first."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime
from itertools import zip_longest

from core.places.forms import all_forms
from core.places.found import corner_m
from core.places.locator import box, locator
from core.places.magnetic import magnetic_from_true
from core.places.notation import Form
from core.places.sun import SunPosition, in_words
from core.safe_text import padded
from core.sheet_page import Block, title
from core.sheet_pen import COARSE_M, INDENT, Pen, bearing, east_or_west, is_near_pole, metres, sigma
from core.sheet_turn import MOST_CLIMB_M
from core.trip_sheet import Place, Spot, TripSheet, compass_works
from core.units import in_use

FINE_M = 2.0
"""A place known to a metre or two is written with the usual figures, five decimals of a degree."""
_LEFT = 41
"""Columns of the left half of a place's forms."""
_LENGTHS = (6, 8, 10)
_SAME_BOX = 1.0 - 1e-6
_LIGHT = ("civil dawn", "sunrise", "noon", "sunset", "civil dusk")
_LIGHT_ROOM = 13
_SUN_HEAD = f"{'time':<13}{'true':>6}{'mag':>8}{'high':>6}"
_GAP = "      "
_SIGHTED_BELOW_DEG = 60.0
"""Higher up nobody tells the sun's direction to a few degrees (common practice, no source)."""
_OFF_DEG = 5
"""A compass read by hand is off by less (common practice, no source), or by less than two sigma of the declination."""


def place_blocks(sheet: TripSheet, pen: Pen) -> Iterator[Block]:
    """All places, and the target."""
    for number, spot in enumerate(sheet.spots, 1):
        yield _block(f"{number:<2}", spot, pen)
    if sheet.target is not None:
        yield _block("T ", sheet.target, pen)


def sun_block(sheet: TripSheet, pen: Pen) -> Block:
    """To check a compass by, at the first place."""
    start = sheet.spots[0]
    head = title(f"The sun over place 1, {pen.name(start.place.name)}")
    words = pen.says(
        "To check a compass: take the sun's direction from your shadow, which points the other way, and never look "
        "into the sun. High: degrees of its middle above a level horizon, without refraction; from "
        f"{_SIGHTED_BELOW_DEG:.0f} up its direction is hard to tell.",
        _tolerance(start),
    )
    rows = [_hour(pen, moment, sun, _magnetic_deg(sheet, sun)) for moment, sun in sheet.sun_by_hour]
    if not rows:
        return Block((head, *pen.says("It is not up at any full hour of this day.", indent=INDENT)))
    return Block((head, *_departing(sheet, pen), *words, *_two_columns(rows)))


def locators(place: Place) -> list[str]:
    """Those of 6, 8 and 10 characters whose box is not finer than the place is known; else the one of 4."""
    texts = [locator(place.position, length) for length in _LENGTHS]
    return [one for one in texts if _is_as_coarse(one, place)] or [locator(place.position, 4)]


def _is_as_coarse(text: str, place: Place) -> bool:
    found = box(text)
    corner = corner_m(found.half_latitude_deg, found.half_longitude_deg, found.centre.latitude_deg)
    return corner >= (place.radius_m or 0.0) * _SAME_BOX


def _block(label: str, spot: Spot, pen: Pen) -> Block:
    lines = [title(f"{label} {pen.name(spot.place.name, 70)}"), *_forms(spot.place, pen)]
    lines += _coarseness(spot, pen)
    lines += pen.says(_compass(spot), _grid(spot), indent=INDENT)
    return Block((*lines, *_light(spot, pen)))


def _forms(place: Place, pen: Pen) -> Iterator[str]:
    radius_m = place.radius_m or 0.0
    forms = all_forms(place.position, error_m=radius_m if radius_m > FINE_M else None)
    about = "about " if radius_m > COARSE_M else ""
    pairs = (
        (forms[Form.DECIMAL], forms[Form.DEGREES_MINUTES]),
        (forms[Form.DEGREES_MINUTES_SECONDS], forms[Form.GEO_URI]),
        (f"{_grid_kind(forms[Form.UTM])} {about}{forms[Form.UTM]}", f"MGRS {forms[Form.MGRS]}"),
        (f"Locator {' '.join(locators(place))}", f"ISO 6709 {forms[Form.ISO6709]}"),
    )
    for left, right in pairs:
        yield f"{INDENT}{padded(pen.text(left), _LEFT)}{pen.text(right)}"


def _grid_kind(utm: str) -> str:
    return "UTM" if utm[0].isdigit() else "UPS"


def _coarseness(spot: Spot, pen: Pen) -> list[str]:
    known = spot.place.radius_m
    high = spot.place.altitude_m
    marked = (
        ""
        if high is None or not abs(high) <= MOST_CLIMB_M
        else f"Marked at {in_use().high(high)} above mean sea level."
    )
    coarse = "How well it is known is not known." if known is None else ""
    if known is not None and known > COARSE_M:
        coarse = f"Known only to about {metres(known)}: finer figures mean nothing."
    pole = "Near the pole bearings turn as you walk: go by the grid." if is_near_pole(spot.place.position) else ""
    return pen.says(marked, coarse, pole, indent=INDENT)


def _compass(spot: Spot) -> str:
    north = spot.declination
    if north is None:
        return "Declination not known: the model (WMM2025) holds from 2025 to 2029."
    if not compass_works(north):
        return "No declination: so near a magnetic pole no compass can be relied on."
    weak = ", the compass is weak here" if north.zone else ""
    shows = f": a compass shows {'less' if north.deg > 0 else 'more'} than true" if abs(north.deg) >= 0.05 else ""
    return f"Declination {east_or_west(north.deg)} ({sigma(north.uncertainty_deg)}, one sigma{weak}){shows}."


def _grid(spot: Spot) -> str:
    lean = east_or_west(spot.grid.deg)
    return f"Grid north ({spot.grid.grid}) {f'{lean} of' if ' ' in lean else 'is'} true north."


def _light(spot: Spot, pen: Pen) -> Iterator[str]:
    day = spot.light
    times = (day.civil_dawn, day.sunrise, day.noon, day.sunset, day.civil_dusk)
    yield _row("", _LIGHT)
    yield _row("UTC", [pen.utc(one) for one in times])
    if pen.zone.name != "UTC":
        yield _row("local", [pen.local(one) for one in times])
    yield from pen.says(_noon(spot.noon_sun), *(f"{words}." for words in in_words(day)), indent=INDENT)


def _noon(sun: SunPosition) -> str:
    if sun.elevation_deg < 0.0:
        return "The sun is below the horizon at noon."
    return f"At noon the sun is {sun.elevation_deg:.1f}° high, towards {bearing(sun.azimuth_deg)}° true."


def _row(label: str, entries: tuple[str, ...] | list[str]) -> str:
    return f"{INDENT}{label:<8}{''.join(f'{one:<{_LIGHT_ROOM}}' for one in entries)}".rstrip()


def _departing(sheet: TripSheet, pen: Pen) -> list[str]:
    sun, departure = sheet.departing_sun, sheet.outing.departure
    if sun is None or departure is None:
        return []
    at = f"At departure, {pen.local(departure)},"
    if sun.elevation_deg < 0.0:
        return pen.says(f"{at} the sun is not up.")
    return pen.says(
        f"{at} it stands at {bearing(sun.azimuth_deg)}° true, {_magnetic(sheet, sun)}, {sun.elevation_deg:.0f}° high."
    )


def _tolerance(start: Spot) -> str:
    north = start.declination
    if north is None or not compass_works(north):
        return "There is no declination to check a compass with."
    off_deg = max(_OFF_DEG, math.ceil(2.0 * north.uncertainty_deg))
    return f"A compass that is off by more than {off_deg} degrees is disturbed, or misread."


def _magnetic(sheet: TripSheet, sun: SunPosition) -> str:
    found = _magnetic_deg(sheet, sun)
    return "no magnetic bearing known" if found is None else f"{bearing(found)}° magnetic"


def _magnetic_deg(sheet: TripSheet, sun: SunPosition) -> float | None:
    north = sheet.spots[0].declination
    return magnetic_from_true(sun.azimuth_deg, north) if north is not None and compass_works(north) else None


def _hour(pen: Pen, moment: datetime, sun: SunPosition, magnetic_deg: float | None) -> str:
    at, high = pen.local(moment), f"{sun.elevation_deg:.0f}"
    return f"{at:<13}{bearing(sun.azimuth_deg):>6}{bearing(magnetic_deg):>8}{high:>6}"


def _two_columns(rows: list[str]) -> Iterator[str]:
    """The first half of the rows on the left."""
    if not rows:
        return
    half = (len(rows) + 1) // 2
    head = _SUN_HEAD if len(rows) > 1 else ""
    yield f"{INDENT}{_SUN_HEAD}{_GAP}{head}".rstrip()
    for left, right in zip_longest(rows[:half], rows[half:], fillvalue=""):
        yield f"{INDENT}{left}{_GAP}{right}".rstrip()
