"""`fixboard place` and `fixboard bearing`: a place in every form, and the way from one to another."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from datetime import UTC, datetime
from typing import Any, NamedTuple

from core.errors import InputError
from core.fix import Position
from core.held import HeldPlace
from core.locations import own_locations
from core.places.containment import bearing_uncertainty_deg
from core.places.convergence import convergence, grid_from_true
from core.places.forms import all_forms
from core.places.geodesic import MERIDIAN_ROUND_M, way
from core.places.magnetic import Declination, declination, magnetic_from_true
from core.places.reading import read
from core.station_book import StationBook, lists_holding, lists_in
from core.station_contents import Contents
from core.stations import Station
from core.waypoints import Waypoint, Waypoints
from tui.cli_queries import show
from tui.own_files import own_files
from tui.speaking import complain, printable


class Place(NamedTuple):
    """A place as it was given."""

    position: Position
    radius_m: float
    """How coarse it was given."""
    waypoint: Waypoint | None = None
    """Where it was given by name."""
    station: Station | None = None
    """Where it was given by a station's name."""


def place(options: Namespace) -> int:
    """`fixboard place TEXT`."""
    found = resolve(options.text)
    north = _declination(found.position)
    forms = all_forms(found.position)
    result: dict[str, Any] = {
        "latitude": round(found.position.latitude_deg, 9),
        "longitude": round(found.position.longitude_deg, 9),
        **forms,
        "declination_deg": None if north is None else round(north.deg, 2),
    }
    show(result, options.json)
    return 0


def bearing(options: Namespace) -> int:
    """`fixboard bearing FROM TO`."""
    start, end = resolve(options.start), resolve(options.end)
    line = way(start.position, end.position)
    there = line.distance_m > 0.0
    initial, final = line.initial_bearing_deg, line.final_bearing_deg
    north = _declination(start.position)
    result: dict[str, Any] = {
        "distance_m": round(line.distance_m, 3),
        "initial_bearing_true": _degrees(initial if there else None),
        "final_bearing_true": _degrees(final if there else None),
        "initial_bearing_magnetic": _degrees(magnetic_from_true(initial, north) if there and north else None),
        "initial_bearing_grid": _degrees(grid_from_true(initial, convergence(start.position)) if there else None),
        "back_bearing_true": _degrees((final + 180.0) % 360.0 if there else None),
        "long_path_distance_m": round(MERIDIAN_ROUND_M - line.distance_m, 3),
        "long_path_bearing_true": _degrees((initial + 180.0) % 360.0 if there else None),
        "uncertainty_deg": _degrees(_uncertainty_deg(line.distance_m, start, end)),
    }
    show(result, options.json)
    return 0


def _uncertainty_deg(distance_m: float, start: Place, end: Place) -> float | None:
    """None where a waypoint's error is not known: that is no error of nothing."""
    if any(one.waypoint and one.waypoint.error_95_m is None for one in (start, end)):
        return None
    return bearing_uncertainty_deg(distance_m, start.radius_m, end.radius_m)


def resolve(text: str) -> Place:
    """What a PLACE means: a notation, a waypoint's name, or that of a station of the user's lists.

    Raises InputError for nothing, and for several things.
    """
    return resolve_among(text, _stations_that_may_be(text))


def resolve_among(text: str, stations: Contents) -> Place:
    """The same, with these stations' names. Raises InputError."""
    trouble: InputError | None = None
    found: list[tuple[str, Place]] = []
    try:
        found.extend((one.explanation, Place(one.position, one.radius_m)) for one in read(text))
    except InputError as error:
        trouble = error
    named = Waypoints(own_locations(os.environ, sys.platform).waypoints).named(text.strip())
    if named is not None:
        place = Place(named.position, named.error_95_m or 0.0, named)
        found.append(("the waypoint of that name", place))
    known = stations.named(text)
    found.extend((f"the station of {one.source}, row {one.row}", _at(one)) for one in known if one.position)
    if len(found) > 1:
        meanings = "; ".join(f"{what}: {one.position[0]:.6f}, {one.position[1]:.6f}" for what, one in found)
        raise InputError(f"{text!r} can mean {len(found)} things: {meanings}. Write it out.")
    if found:
        return found[0][1]
    if known:
        raise InputError(f"{known[0].title} is in {known[0].source}, row {known[0].row}, without a place")
    raise trouble or InputError(f"{text!r} is no place")


def _at(station: Station) -> Place:
    if station.position is None:
        raise ValueError("a station without a place is nowhere")
    return Place(station.position, station.radius_m or 0.0, station=station)


def _stations_that_may_be(text: str) -> Contents:
    """Of the lists in the user's folder only those in which the text occurs: the others need not be read."""
    folder = own_files().stations
    contents = StationBook(None, lists_holding(lists_in(folder), text)).look()
    for one in contents.lists:
        if one.found is None:
            complain(f"left out: {one.trouble}")
    return contents


def held_place(text: str) -> HeldPlace:
    """A PLACE to hold. Raises InputError for nothing, and for several things."""
    found = resolve(text)
    known = found.waypoint
    if known is not None:
        return HeldPlace(known.name, known.position, known.altitude_m, known.error_95_m)
    if found.station is not None:
        return HeldPlace(printable(found.station.title), found.position)
    return HeldPlace(printable(text.strip()), found.position)


def _declination(position: Position) -> Declination | None:
    """Today's; None where no compass can be relied on, saying so."""
    found = declination(position, datetime.now(tz=UTC).date())
    if found.zone == "blackout" or not found.valid:
        complain("no declination: too near a magnetic pole, or outside the years of the model (WMM2025, to 2029)")
        return None
    if found.zone == "caution":
        complain(f"declination uncertain by {found.uncertainty_deg:.1f} degrees and more: the compass is weak here")
    return found


def _degrees(value: float | None) -> float | None:
    return None if value is None else round(value, 3)
