"""Stations in words, for the list on the board, for the shell and for whoever copies a field."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import date
from math import ceil
from typing import NamedTuple

from core.bands import MHZ
from core.places.locator import locator
from core.radio_horizon import both_horizons_m
from core.station_contents import Contents, Read
from core.stations import Doubt, Finding, Station
from core.units import in_use
from core.verified import Air, air, is_old, verified_on
from tui import wording

CAUTIONS = (
    "Licence conditions and local band plans go before this list.",
    "A listed station may be off the air, and not all that it says need be true.",
)
SMOOTH = "a smooth earth: not a coverage promise"
MOST_FINDINGS = 20
"""Of one kind that are written out in the report of one list; the JSON has them all."""
_TONE = re.compile(r"[0-9]{2,3}\.[0-9]")
"""Tones below speech are written with one decimal, 67.0 to 254.1 Hz; digital codes as three figures (common practice,
no source)."""
NO_DIRECTION_DEG = 90.0
"""Uncertain by so much, a bearing does not even tell before from behind."""


class State(NamedTuple):
    """What the list says of a station being there at all."""

    words: str
    is_doubtful: bool


def state_of(station: Station, today: date) -> State:
    """Status and when it was verified; what is old, off, or not said is doubtful."""
    status = station.status or "status not given"
    on = air(station.status)
    said = {Air.OFF: "may be off the air", Air.UNKNOWN: "", Air.ON: ""}[on]
    verified, is_stale = _verified(station.verified, today)
    parts = (status if not said or said == status else f"{status}: {said}", verified)
    return State(", ".join(part for part in parts if part), on is not Air.ON or is_stale)


def _verified(text: str, today: date) -> tuple[str, bool]:
    if not text:
        return "never verified", True
    day = verified_on(text)
    if day is None:
        return f"verified {text!r}: no date that can be read", True
    if day > today:
        return f"verified {text}: that is still to come", True
    return (f"verified {text}: over a year ago", True) if is_old(day, today) else (f"verified {text}", False)


def frequency(hz: int | None) -> str:
    """In megahertz, to the hertz, three decimals at least; a dash where it is not known."""
    if hz is None:
        return wording.UNKNOWN
    decimals = f"{hz % MHZ:06d}".rstrip("0")
    return f"{hz // MHZ}.{decimals:0<3}"


def shift(hz: int | None) -> str:
    """In megahertz with its sign; a dash where it is not known."""
    if hz is None:
        return wording.UNKNOWN
    return "none" if hz == 0 else f"{hz / MHZ:+g}"


def tone(text: str) -> str:
    """As it is listed, a dash for none; with hertz behind a figure that has decimals: codes have none."""
    return f"{text} Hz" if _TONE.fullmatch(text) else text or wording.UNKNOWN


def spread(uncertainty_deg: float | None) -> str:
    """Behind a bearing: how far it may be off, worst case and so rounded up."""
    if uncertainty_deg is None:
        return "±?"
    if uncertainty_deg >= NO_DIRECTION_DEG:
        return "any"
    if uncertainty_deg > 1.0:
        return f"±{ceil(uncertainty_deg)}°"
    return f"±{max(1, ceil(uncertainty_deg * 10)) / 10:.1f}°"


def degrees(value: float | None) -> str:
    """Three figures; a dash where there is none."""
    return wording.UNKNOWN if value is None else f"{round(value) % 360:03d}°"


def horizon(distance_m: float, antenna_m: float | None, height_m: float | None) -> str:
    """Whether both antennas are within each other's radio horizon, and why that cannot be said."""
    if height_m is None:
        return "not known: the list gives no height"
    if antenna_m is None:
        return "not known: antenna_m is not in your settings"
    both_m = both_horizons_m(antenna_m, height_m)
    if both_m is None:
        return "not known: a height below the sea"
    where = "within" if distance_m <= both_m else "beyond"
    return f"{where} both horizons, {wording.distance(both_m)}"


def coarseness(radius_m: float | None) -> str:
    """How far off the place may be."""
    return "how coarse is not known" if radius_m is None else f"to within {wording.metres(radius_m)}"


def copyable(station: Station) -> list[tuple[str, str]]:
    """Every field that holds anything: its name and its text."""
    place = station.position
    fields = (
        ("call", station.call),
        ("name", station.name),
        ("output, MHz", "" if station.output_hz is None else frequency(station.output_hz)),
        ("input, MHz", "" if station.input_hz is None else frequency(station.input_hz)),
        ("shift, MHz", "" if station.shift_hz is None else f"{station.shift_hz / MHZ:+g}"),
        ("tone or code", station.tone),
        ("mode", station.mode),
        ("coordinates", "" if place is None else f"{place.latitude_deg:.5f},{place.longitude_deg:.5f}"),
        ("locator", "" if place is None else locator(place)),
        ("place as listed", station.place),
        ("height, m", "" if station.height_m is None else f"{station.height_m:g}"),
        ("status", station.status),
        ("verified", station.verified),
        ("notes", station.notes),
        *station.more,
    )
    return [(name, text) for name, text in fields if text]


def report(contents: Contents) -> Iterator[str]:
    """What was understood of every list, and what is doubtful in it, in lines."""
    for read in contents.lists:
        yield from _of_list(read)
        yield ""
    if contents.repeated:
        yield f"{_many(contents.repeated, 'station')} of one list in another too: shown once, as the earlier has them"


def _of_list(read: Read) -> Iterator[str]:
    found = read.found
    yield f"{read.path}"
    if found is None:
        yield f"  could not be read: {read.trouble}"
        return
    placed = len(found.placed)
    yield f"  {_many(len(found.stations), 'station')}, {placed} with a place; {found.read_as}"
    counted = Counter(finding.doubt for finding in found.findings)
    if not counted:
        yield "  nothing doubtful"
    for doubt, count in counted.items():
        yield f"  {doubt.value}: {count}"
        those = [one for one in found.findings if one.doubt is doubt]
        for one in those[:MOST_FINDINGS]:
            yield f"    row {one.row}  {one.title}: {why(one)}"
        if count > MOST_FINDINGS:
            yield f"    and {count - MOST_FINDINGS} more: fixboard stations --json lists them all"
    for column in found.columns:
        meaning = column.meaning or "not understood: kept and shown"
        yield f"  column {column.header!r:<22} {meaning}"


def _many(count: int, what: str) -> str:
    return f"{count:,} {what}" if count == 1 else f"{count:,} {what}s"


def why(finding: Finding) -> str:
    """What is doubtful in a row, a distance of ours in the user's units; what is quoted from the list stays."""
    is_ours = finding.doubt is Doubt.PLACES_DISAGREE
    return in_use().own_lengths(finding.why) if is_ours else finding.why
