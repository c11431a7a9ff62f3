"""The beam sheet as lines of plain text, for the screen and for paper."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from textwrap import wrap
from typing import NamedTuple

from core.beam import BeamSheet, End, Fineness
from core.places.norths import Bearings
from core.safe_text import padded
from core.sheet_page import clean, cut
from core.sheet_pen import NOTHING, bearing, east_or_west, sigma, spread
from core.spelled import as_ascii
from core.sun_crossing import Crossing
from core.units import in_use

USUAL_BEAMWIDTH_DEG = 30.0
"""Of a handheld directional antenna for 2 m or 70 cm (common practice, no source)."""
WIDTH = 70
"""Columns: a sheet on a screen of 80 has a frame around it."""
INDENT = "  "
"""Before rows that go on with a sentence: what begins at the margin is another one."""
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

    @property
    def degree(self) -> str:
        """Behind a figure of a table. A degree sign in words is too wide for that: then the head names the unit."""
        return "" if self.ascii_only else "°"

    @property
    def unit(self) -> str:
        """In the head of a table."""
        return "" if self.degree else "degrees"


def beam_lines(sheet: BeamSheet, paper: BeamPaper) -> list[str]:
    """At most 70 columns wide."""
    lines = [
        _title("Beam sheet"),
        *_ends(sheet),
        "",
        *_paths(sheet, paper),
        "",
        *_coarseness(sheet, paper),
        "",
        *_sun(sheet),
        "",
        *_wrapped(CAUTIONS, paper),
    ]
    return [as_ascii(line) for line in lines] if paper.ascii_only else lines


def _title(text: str) -> str:
    return f"{text} {'-' * (WIDTH - len(text) - 1)}"


def _wrapped(text: str, paper: BeamPaper) -> list[str]:
    """A sentence of ours, spelled before it is wrapped, since that makes it longer."""
    return wrap(as_ascii(text) if paper.ascii_only else text, WIDTH, subsequent_indent=INDENT, break_on_hyphens=False)


def _ends(sheet: BeamSheet) -> Iterator[str]:
    for label, end, square in zip(("from", "to"), (sheet.start, sheet.end), sheet.locators, strict=True):
        name = cut(clean(end.name) or NOTHING, NAME_ROOM)
        yield f"{label:<5}{padded(name, NAME_ROOM)} {square:<9}{_known(end)}"
    yield f"on   {sheet.at:%Y-%m-%d %H:%M} UTC"


def _known(end: End) -> str:
    if end.radius_m is None:
        return "error not known"
    return f"known to {in_use().coarse(end.radius_m)}"


def _paths(sheet: BeamSheet, paper: BeamPaper) -> Iterator[str]:
    short, far = sheet.short, sheet.long
    if short is None or far is None or sheet.back is None:
        yield "Both are one spot: there is no direction."
        return
    yield f"{paper.unit:<18}{'true':>8}{'magnetic':>10}{'grid':>8}{'may be off':>12}{'distance':>14}"
    for label, found, distance in (
        ("short path", short.bearings, _km(short.distance_m, sheet)),
        ("long path", far.bearings, in_use().long(far.distance_m, 0)),
        ("back from there", sheet.back, ""),
    ):
        yield f"{label:<18}{_bearings(found, sheet.uncertainty_deg, paper)}{distance:>14}"
    # In kilometres whatever the user's units: the rules of contests count points by them.
    yield f"{'contest distance':<56}{sheet.contest_km:>11,.1f} km"
    yield from _wrapped(
        "The contest distance is that between the middles of the 6-character squares on a sphere of 111.2 km to the "
        "degree; how it is rounded is for the rules of the contest.",
        paper,
    )
    yield from _wrapped(_norths(sheet), paper)


def _bearings(found: Bearings, off_deg: float | None, paper: BeamPaper) -> str:
    """By three norths, and how far off they may be."""
    figures = [bearing(one, off_deg or 0.0) for one in (found.true_deg, found.magnetic_deg, found.grid_deg)]
    true, magnetic, grid = (_degrees(one, paper) for one in figures)
    off = NOTHING if off_deg is None else _degrees(spread(off_deg), paper)
    return f"{true:>8}{magnetic:>10}{grid:>8}{off:>12}"


def _degrees(figure: str, paper: BeamPaper) -> str:
    """With its unit; a dash, or `any`, has none."""
    return f"{figure}{paper.degree}" if figure[-1].isdecimal() else figure


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


def _coarseness(sheet: BeamSheet, paper: BeamPaper) -> Iterator[str]:
    """What the far end's locator does to the bearing, and which is needed."""
    beamwidth_deg = paper.beamwidth_deg
    yield _title(f"What a locator does to the bearing (beam {beamwidth_deg:g} degrees wide)")
    if sheet.short is None:
        yield "Nothing: there is no direction."
        return
    offs = [_degrees(spread(one.uncertainty_deg), paper) for one in sheet.fineness]
    off = f"may be off, {paper.unit}" if paper.unit else "bearing may be off"
    yield f"{'characters given':<22}" + "".join(f"{one.characters:>10}" for one in sheet.fineness)
    yield f"{off:<22}" + "".join(f"{one:>10}" for one in offs)
    yield f"{'good enough':<22}" + "".join(f"{_good(one, beamwidth_deg):>10}" for one in sheet.fineness)
    needed = sheet.needed(beamwidth_deg)
    answer = "Even 8 characters are too coarse" if needed is None else f"{needed} characters needed"
    yield from _wrapped(
        f"{answer} at this beamwidth: the worst case must stay within half of it. This end counts as it is known"
        f"{', or, since that is not known, as coarse as the other' if sheet.start.radius_m is None else ''}.",
        paper,
    )


def _good(one: Fineness, beamwidth_deg: float) -> str:
    return "yes" if one.uncertainty_deg <= beamwidth_deg / 2 else "no"


def _sun(sheet: BeamSheet) -> Iterator[str]:
    yield _title("By the sun, without a compass (true azimuths, times in UTC)")
    sun = sheet.sun
    where = f"azimuth {bearing(sun.azimuth_deg)}°, {sun.elevation_deg:.0f}° high"
    yield f"sun at {sheet.at:%H:%M}: {'below the horizon' if sun.elevation_deg <= 0 else where}"
    turn_deg = sheet.from_sun_deg
    if turn_deg is not None:
        side = "right" if turn_deg >= 0 else "left"
        shadow_deg = (turn_deg + 360.0) % 360.0 - 180.0
        other = "right" if shadow_deg >= 0 else "left"
        yield f"beam: {abs(turn_deg):.0f}° {side} of the sun, {abs(shadow_deg):.0f}° {other} of the shadow"
    elif sheet.short is not None and sun.elevation_deg > 0:
        yield "too high to align by now: its azimuth cannot be seen well and runs fast"
    if sheet.short is not None:
        crossings = [_crossing(one, sheet) for one in sheet.crossings]
        yield from crossings or ["in the next 24 hours it is never in line with the beam"]


def _crossing(one: Crossing, sheet: BeamSheet) -> str:
    moment = one.at + timedelta(seconds=30)  # to the nearest minute: the sun runs a quarter of a degree in one
    day = "" if moment.date() == sheet.at.date() else f" on {moment:%Y-%m-%d}"
    what = "the shadow points along the beam" if one.is_behind else "the sun stands in the beam"
    return f"at {moment:%H:%M}{day} {what}, {one.elevation_deg:.0f}° high"
