"""A route as it is remembered: each leg by name and place, since several waypoints may have one name.

A radio station of a list is no waypoint of the user's; its leg is remembered whole. Of a way back along the trail only
which trail that is: the trail itself is kept with the trip.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from core.fix import Position
from core.track_points import TrackPoint, TrackView
from core.waypoint import Waypoint

SAME_DEG = 1e-8
"""A millimetre: rounding of the file, not a move."""


class Recalled(NamedTuple):
    """What of a route is still there."""

    legs: tuple[Waypoint, ...] = ()
    trouble: tuple[str, ...] = ()
    """In words: what has gone, or cannot be told from others of its name."""


WORST_M = 20_003_932.0
"""Half round the earth along a meridian (WGS 84): no error of a place is larger."""
MOST_DIGITS = 9
"""Of a number of points."""
STATION = "station"
"""The kind of such a leg."""


def written(legs: Iterable[Waypoint]) -> str:
    """As JSON, an array of [name, latitude, longitude], of a station with `station` and its error in metres or null."""
    return json.dumps([[leg.name, *leg.position, *_more(leg)] for leg in legs])


def _more(leg: Waypoint) -> tuple[object, ...]:
    return (STATION, leg.error_95_m) if leg.kind == STATION else ()


def recalled(text: str, waypoints: Sequence[Waypoint]) -> Recalled:
    """The legs among the waypoints. A text that is no route is none."""
    found = [(name, _leg(name, place, waypoints)) for name, *place in _rows(text)]
    missing = tuple(f"{name}: gone, or one of several of that name" for name, leg in found if leg is None)
    return Recalled(tuple(leg for _, leg in found if leg is not None), missing)


def trail_written(track: TrackView) -> str:
    """Which trail this is: how many points it has, and the times of the first and the last. Empty where one has none.

    By them no other trip, no recording and no new trip after a reset can be taken for it.
    """
    times = [_time(track.points[at]) for at in (0, track.count - 1)] if track.count else [""]
    return " ".join((str(track.count), *times)) if all(times) else ""


def trail_recalled(text: str, track: TrackView) -> int:
    """How many points of this track were the trail of that text; 0 where it is another, or the text is none."""
    number = text.partition(" ")[0]
    count = int(number) if number.isascii() and number.isdigit() and len(number) <= MOST_DIGITS else 0
    return count if count <= track.count and text == trail_written(track._replace(count=count)) else 0


def _time(point: TrackPoint) -> str:
    """To the second: what is finer may be rounded in the file."""
    moment = point.utc.datetime() if point.utc else None
    return f"{moment:%Y-%m-%dT%H:%M:%SZ}" if moment else ""


def follow(leg: Waypoint, waypoints: Sequence[Waypoint]) -> Waypoint | None:
    """The same waypoint after the file has changed: equal, or of its name and place, or the only one of its name."""
    return leg if leg in waypoints or leg.kind == STATION else _leg(leg.name, list(leg.position), waypoints)


def _leg(name: str, place: list[Any], waypoints: Sequence[Waypoint]) -> Waypoint | None:
    if len(place) == 4:
        return _station(name, place)
    named = [one for one in waypoints if one.name == name]
    there = [one for one in named if _is_at(one, place)]
    if there:
        return there[0]
    return named[0] if len(named) == 1 else None


def _station(name: str, place: list[Any]) -> Waypoint | None:
    """None for figures that are on no globe."""
    latitude, longitude, _, error_m = place
    if not (abs(latitude) <= 90.0 and abs(longitude) <= 180.0 and (error_m is None or 0.0 <= error_m <= WORST_M)):
        return None
    error_95_m = None if error_m is None else float(error_m)
    return Waypoint(name, Position(float(latitude), float(longitude)), kind=STATION, error_95_m=error_95_m)


def _is_at(waypoint: Waypoint, place: list[Any]) -> bool:
    return len(place) == 2 and all(abs(a - b) <= SAME_DEG for a, b in zip(waypoint.position, place, strict=True))


def _rows(text: str) -> list[list[Any]]:
    """Rows of a name and two numbers; the file may have been edited to anything."""
    try:
        found = json.loads(text or "[]")
    except (ValueError, RecursionError):
        return []
    rows = found if isinstance(found, list) else []
    return [row for row in rows if isinstance(row, list) and _is_row(row)]


def _is_row(row: list[Any]) -> bool:
    if len(row) not in {3, 5} or not isinstance(row[0], str):
        return False
    error_is_one = len(row) == 3 or (row[3] == STATION and (row[4] is None or _is_number(row[4])))
    return error_is_one and all(map(_is_number, row[1:3]))


def _is_number(value: object) -> bool:
    """One that compares with any float: JSON's integers may have four thousand digits."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= sys.float_info.max
