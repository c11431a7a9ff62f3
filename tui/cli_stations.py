"""`fixboard nearest` and `fixboard stations`: the nearest of the user's lists, and what was understood of them."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, NamedTuple

from core.bands import MHZ
from core.errors import InputError, UsageError
from core.locations import own_locations
from core.nearest import Here, Near
from core.places.locator import locator
from core.places.magnetic import Declination, magnetic_from_true
from core.places.norths import norths_at
from core.radio_horizon import both_horizons_m
from core.safe_text import cells, padded
from core.settings import read_settings
from core.station_book import StationBook, lists_in
from core.station_contents import Contents, Read
from core.station_filter import Wanted, band_named, chosen
from tui import station_words as words
from tui import wording
from tui.cli_places import Place, resolve_among
from tui.cli_queries import asked_fix, show
from tui.own_files import own_files, speak_own_units
from tui.speaking import complain, printable, tell

NO_LISTS = "there is no list of stations: name one with --list FILE, or put lists into {folder}"


class Start(NamedTuple):
    """Where distances are counted from."""

    here: Here
    day: date
    """For the declination."""


def nearest(options: Namespace) -> int:
    """`fixboard nearest [PLACE] [--from SOURCE] --list FILE`."""
    if options.place is not None and options.source is not None:
        raise UsageError("give a PLACE or --from, not both: distances are counted from one of them")
    wanted = Wanted(band_named(options.band or ""), options.mode or "")
    contents = _contents([Path(one) for one in options.lists or ()])
    start = _start(options, contents)
    found = contents.finder.nearest_of(
        start.here, options.count, chosen(contents.keys, range(len(contents.keys)), wanted)
    )
    north = norths_at(start.here.position, start.day).declination
    unplaced = len(chosen(contents.unplaced_keys, range(len(contents.unplaced)), wanted))
    if options.json:
        show(_json(found, start, north, unplaced), True)
    else:
        speak_own_units()
        tell("\n".join(printable(line) for line in _table(found, contents, (north, unplaced))))
    return 0


def stations(options: Namespace) -> int:
    """`fixboard stations [FILE...]`: what was understood. Exit 1 where a list cannot be read."""
    contents = _look([Path(one) for one in options.files])
    if options.json:
        show({"lists": [_list_json(read) for read in contents.lists], "repeated": contents.repeated}, True)
    else:
        tell("\n".join(printable(line) for line in words.report(contents)))
    unread = [read for read in contents.lists if read.found is None]
    if unread:
        raise InputError(unread[0].trouble)
    return 0


def _look(named: list[Path]) -> Contents:
    """Of lists that are named, those; of none, the user's folder."""
    folder = own_files().stations
    if not named and not lists_in(folder):
        raise InputError(NO_LISTS.format(folder=folder))
    return StationBook(None if named else folder, named).look()


def _contents(named: list[Path]) -> Contents:
    """A list that was asked for and cannot be read is an error; one of the folder is said and left out."""
    contents = _look(named)
    unread = [read for read in contents.lists if read.found is None]
    if unread and (named or len(unread) == len(contents.lists)):
        raise InputError(unread[0].trouble)
    for read in unread:
        complain(f"left out: {read.trouble}")
    return contents


def _start(options: Namespace, contents: Contents) -> Start:
    if options.place is not None:
        place = resolve_among(options.place, contents)
        return Start(Here(place.position, _radius_m(place)), datetime.now(tz=UTC).date())
    asked = asked_fix(options)
    if asked.trouble:
        raise asked.trouble
    fix = asked.snapshot.fix if asked.snapshot else None
    if asked.snapshot is None or fix is None or fix.position is None:
        raise InputError(f"{asked.label} has no position")
    day = fix.utc.day if fix.utc and fix.utc.day else datetime.now(tz=UTC).date()
    return Start(Here(fix.position, asked.snapshot.trust.error.horizontal_m), day)


def _radius_m(place: Place) -> float | None:
    return place.waypoint.error_95_m if place.waypoint else place.radius_m


def _json(found: tuple[Near, ...], start: Start, north: Declination | None, unplaced: int) -> dict[str, Any]:
    antenna_m = _antenna_m()
    return {
        "latitude": round(start.here.position.latitude_deg, 9),
        "longitude": round(start.here.position.longitude_deg, 9),
        "radius_m": _rounded(start.here.radius_m, 1),
        "declination_deg": _rounded(north.deg, 2) if north else None,
        "antenna_m": antenna_m,
        "without_a_place": unplaced,
        "stations": [_station_json(one, north, antenna_m) for one in found],
    }


def _station_json(near: Near, north: Declination | None, antenna_m: float | None) -> dict[str, Any]:
    """The keys that scripts rely on: no key is ever missing."""
    one, bearing = near.station, near.bearing_deg
    place = one.position
    return {
        "call": one.call or None,
        "name": one.name or None,
        "output_mhz": _mhz(one.output_hz),
        "input_mhz": _mhz(one.input_hz),
        "shift_mhz": _mhz(one.shift_hz),
        "tone": one.tone or None,
        "mode": one.mode or None,
        "band": one.band.name if one.band else None,
        "distance_m": round(near.way.distance_m, 1),
        "bearing_true": _rounded(bearing, 2),
        "bearing_magnetic": None if bearing is None or north is None else round(magnetic_from_true(bearing, north), 2),
        "uncertainty_deg": _rounded(near.uncertainty_deg, 2),
        "locator": locator(place) if place else None,
        "latitude": round(place.latitude_deg, 9) if place else None,
        "longitude": round(place.longitude_deg, 9) if place else None,
        "radius_m": _rounded(one.radius_m, 1),
        "height_m": _rounded(one.height_m, 2),
        "radio_horizon_m": _rounded(both_horizons_m(antenna_m, one.height_m), 0),
        "status": one.status or None,
        "verified": one.verified or None,
        "notes": one.notes or None,
        "list": one.source,
        "row": one.row,
        "more": _more(one.more),
    }


def _more(pairs: tuple[tuple[str, str], ...]) -> dict[str, str]:
    """Two columns may have one header: none is lost."""
    found: dict[str, str] = {}
    for header, cell in pairs:
        found[header if header not in found else f"{header} ({len(found) + 1})"] = cell
    return found


def _list_json(read: Read) -> dict[str, Any]:
    found = read.found
    return {
        "list": str(read.path),
        "trouble": read.trouble or None,
        "read_as": found.read_as if found else None,
        "stations": len(found.stations) if found else None,
        "placed": len(found.placed) if found else None,
        "columns": [{"header": one.header, "meaning": one.meaning or None} for one in found.columns] if found else [],
        "findings": [
            {"row": one.row, "station": one.title, "doubt": one.doubt.value, "why": one.why} for one in found.findings
        ]
        if found
        else [],
    }


_Row = tuple[str, ...]
HEADS = ("call", "output", "shift", "mode", "distance", "true", "magnetic", "+/-", "name")
RIGHT = frozenset({"output", "shift", "distance", "true", "magnetic", "+/-"})


def _table(found: tuple[Near, ...], contents: Contents, said: tuple[Declination | None, int]) -> Iterator[str]:
    """Columns as wide as they need be, then doubts, then cautions."""
    north, unplaced = said
    rows: list[_Row] = [HEADS, *(_cells(one, north) for one in found)]
    widths = [max(cells(printable(row[n])) for row in rows) for n in range(len(HEADS))]
    if not found:
        yield "no station of that kind has a place"
    for row in rows if found else ():
        yield "  ".join(_cell(*one) for one in zip(row, widths, HEADS, strict=True)).rstrip()
    yield ""
    if unplaced:
        yield f"{unplaced} more could not be placed: fixboard stations says why"
    if north is None:
        yield "no magnetic bearings: too near a magnetic pole, or outside the years of the model (WMM2025, to 2029)"
    elif north.zone:
        yield f"magnetic bearings uncertain by {north.uncertainty_deg:.1f} degrees and more: the compass is weak here"
    today = datetime.now(tz=UTC).date()
    for one in found:
        yield from _doubts(one, contents, today)
    horizon = (words.horizon(one.way.distance_m, _antenna_m(), one.station.height_m) for one in found[:1])
    yield from (f"radio horizon of the nearest: {text} ({words.SMOOTH})" for text in horizon)
    yield " ".join(words.CAUTIONS)


def _cells(near: Near, north: Declination | None) -> _Row:
    one, bearing = near.station, near.bearing_deg
    magnetic = None if bearing is None or north is None else magnetic_from_true(bearing, north)
    return (
        one.title, words.frequency(one.output_hz), words.shift(one.shift_hz), one.mode or wording.UNKNOWN,
        wording.distance(near.way.distance_m), words.degrees(bearing), words.degrees(magnetic),
        words.spread(near.uncertainty_deg) if bearing is not None else wording.UNKNOWN, one.name,
    )  # fmt: skip


def _cell(text: str, width: int, head: str) -> str:
    clean = printable(text)
    return clean.rjust(width) if head in RIGHT else padded(clean, width)


def _doubts(near: Near, contents: Contents, today: date) -> Iterator[str]:
    state = words.state_of(near.station, today)
    if state.is_doubtful:
        yield f"{near.station.title}: {state.words}"
    yield from (f"{near.station.title}: {one.doubt.value}: {words.why(one)}" for one in contents.findings(near.station))


def _antenna_m() -> float | None:
    return read_settings(own_locations(os.environ, sys.platform).settings).stations.antenna_m


def _mhz(hz: int | None) -> float | None:
    return None if hz is None else round(hz / MHZ, 6)


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
