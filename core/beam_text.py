"""The beam sheet as lines of plain text, for the screen and for paper."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import NamedTuple

from core.beam import BeamSheet, End, Fineness
from core.places.norths import Bearings
from core.safe_text import padded
from core.sheet_page import clean, cut
from core.sheet_page import wrapped as wrapped_to
from core.sheet_pen import NOTHING, bearing, east_or_west, sigma, spread
from core.spelled import as_ascii
from core.sun_crossing import Crossing
from core.units import in_use

USUAL_BEAMWIDTH_DEG = 30.0
"""Of a handheld directional antenna for 2 m or 70 cm (common practice, no source)."""
WIDTH = 70
"""Columns: a sheet on a screen of 80 has a frame around it."""
NAME_ROOM = 36
FINE_M = 100.0
"""Places known better than this have their distance in metres too."""
CAUTIONS = (
    "Straight lines over the earth: hills, masts and your licence come before this sheet. Look up for power lines "
    "before you raise an antenna. Never look into the sun: use the shadow of a stick or a string."
)


class BeamPaper(NamedTuple):
    """How it is written."""

    beamwidth_deg: float = USUAL_BEAMWIDTH_DEG
    """Between the half-power points of the antenna, above 0 to 360."""
    ascii_only: bool = False


def beam_lines(sheet: BeamSheet, paper: BeamPaper) -> list[str]:
    """At most 70 columns wide."""
    lines = [
        _title("Beam sheet"),
        *_ends(sheet),
        "",
        *_paths(sheet),
        "",
        *_coarseness(sheet, paper.beamwidth_deg),
        "",
        *_sun(sheet),
        "",
        *_wrapped(CAUTIONS),
    ]
    return [as_ascii(line) for line in lines] if paper.ascii_only else lines


def _title(text: str) -> str:
    return f"{text} {'-' * (WIDTH - len(text) - 1)}"


def _wrapped(text: str) -> Iterator[str]:
    return wrapped_to(text, room=WIDTH)


def _ends(sheet: BeamSheet) -> Iterator[str]:
    for label, end, square in zip(("from", "to"), (sheet.start, sheet.end), sheet.locators, strict=True):
        name = cut(clean(end.name) or NOTHING, NAME_ROOM)
        yield f"{label:<5}{padded(name, NAME_ROOM)} {square:<9}{_known(end)}"
    yield f"on   {sheet.at:%Y-%m-%d %H:%M} UTC"


def _known(end: End) -> str:
    if end.radius_m is None:
        return "error not known"
    return f"known to {in_use().coarse(end.radius_m)}"


def _paths(sheet: BeamSheet) -> Iterator[str]:
    short, far = sheet.short, sheet.long
    if short is None or far is None or sheet.back is None:
        yield "Both are one spot: there is no direction."
        return
    off_deg = sheet.uncertainty_deg
    yield f"{'':<18}{'true':>8}{'magnetic':>10}{'grid':>8}{'may be off':>12}{'distance':>14}"
    yield _path("short path", short.bearings, off_deg, _km(short.distance_m, sheet))
    yield _path("long path", far.bearings, off_deg, in_use().long(far.distance_m, 0))
    yield _path("back from there", sheet.back, off_deg, "")
    # In kilometres whatever the user's units: the rules of contests count points by them.
    yield f"{'contest distance':<56}{sheet.contest_km:>11.1f} km"
    yield from _wrapped(
        "The contest distance is that between the middles of the 6-character squares on a sphere of 111.2 km to the "
        "degree; how it is rounded is for the rules of the contest."
    )
    yield from _wrapped(_norths(sheet))


def _path(label: str, found: Bearings, off_deg: float | None, distance: str) -> str:
    rough = off_deg or 0.0
    figures = [bearing(one, rough) for one in (found.true_deg, found.magnetic_deg, found.grid_deg)]
    off = NOTHING if off_deg is None else spread(off_deg)
    return f"{label:<18}{figures[0]:>8}{figures[1]:>10}{figures[2]:>8}{off:>12}{distance:>14}"


def _km(distance_m: float, sheet: BeamSheet) -> str:
    radii_m = [one.radius_m for one in (sheet.start, sheet.end)]
    if distance_m < 10_000 and all(one is not None and one <= FINE_M for one in radii_m):
        return in_use().plain(distance_m)
    return in_use().long(distance_m)


def _norths(sheet: BeamSheet) -> str:
    found, grid = sheet.norths.declination, sheet.norths.grid
    if found is None:
        magnetic = "No magnetic bearing: too near a magnetic pole, or a day that the model (WMM2025) does not hold on."
    else:
        weak = " The compass is weak here." if found.zone else ""
        magnetic = f"Declination {east_or_west(found.deg)}, {sigma(found.uncertainty_deg)} (WMM2025).{weak}"
    return f"{magnetic} Grid is {grid.grid}, its north {east_or_west(grid.deg)}."


def _coarseness(sheet: BeamSheet, beamwidth_deg: float) -> Iterator[str]:
    """What the far end's locator does to the bearing, and which is needed."""
    yield _title(f"What a locator does to the bearing (beam {beamwidth_deg:g} degrees wide)")
    if sheet.short is None:
        yield "Nothing: there is no direction."
        return
    yield f"{'characters given':<22}" + "".join(f"{one.characters:>10}" for one in sheet.fineness)
    yield f"{'bearing may be off':<22}" + "".join(f"{spread(one.uncertainty_deg):>10}" for one in sheet.fineness)
    yield f"{'good enough':<22}" + "".join(f"{_good(one, beamwidth_deg):>10}" for one in sheet.fineness)
    needed = sheet.needed(beamwidth_deg)
    answer = "Even 8 characters are too coarse" if needed is None else f"{needed} characters needed"
    yield from _wrapped(
        f"{answer} at this beamwidth: the worst case must stay within half of it. This end counts as it is known"
        f"{', or, since that is not known, as coarse as the other' if sheet.start.radius_m is None else ''}."
    )


def _good(one: Fineness, beamwidth_deg: float) -> str:
    return "yes" if one.uncertainty_deg <= beamwidth_deg / 2 else "no"


def _sun(sheet: BeamSheet) -> Iterator[str]:
    yield _title("By the sun, without a compass (true azimuths, times in UTC)")
    sun = sheet.sun
    where = f"azimuth {bearing(sun.azimuth_deg)}, elevation {sun.elevation_deg:.0f} degrees"
    yield f"sun at {sheet.at:%H:%M}: {'below the horizon' if sun.elevation_deg <= 0 else where}"
    turn_deg = sheet.from_sun_deg
    if turn_deg is not None:
        side = "right" if turn_deg >= 0 else "left"
        shadow_deg = (turn_deg + 360.0) % 360.0 - 180.0
        other = "right" if shadow_deg >= 0 else "left"
        yield f"beam: {abs(turn_deg):.0f} degrees {side} of the sun, {abs(shadow_deg):.0f} {other} of the shadow"
    elif sheet.short is not None and sun.elevation_deg > 0:
        yield "too high to align by now: its azimuth cannot be seen well and runs fast"
    if sheet.short is not None:
        crossings = [_crossing(one, sheet) for one in sheet.crossings]
        yield from crossings or ["in the next 24 hours it is never in line with the beam"]


def _crossing(one: Crossing, sheet: BeamSheet) -> str:
    moment = one.at + timedelta(seconds=30)  # to the nearest minute: the sun runs a quarter of a degree in one
    day = "" if moment.date() == sheet.at.date() else f" on {moment:%Y-%m-%d}"
    what = "the shadow points along the beam" if one.is_behind else "the sun stands in the beam"
    return f"at {moment:%H:%M}{day} {what} (elevation {one.elevation_deg:.0f})"
