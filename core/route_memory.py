"""A route as it is remembered: each leg by name and place, since several waypoints may have one name."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from core.waypoint import Waypoint

SAME_DEG = 1e-8
"""A millimetre: rounding of the file, not a move."""


class Recalled(NamedTuple):
    """What of a route is still there."""

    legs: tuple[Waypoint, ...] = ()
    trouble: tuple[str, ...] = ()
    """In words: what has gone, or cannot be told from others of its name."""


def written(legs: Iterable[Waypoint]) -> str:
    """As JSON, an array of [name, latitude, longitude]."""
    return json.dumps([[leg.name, *leg.position] for leg in legs])


def recalled(text: str, waypoints: Sequence[Waypoint]) -> Recalled:
    """The legs among the waypoints. A text that is no route is none."""
    found = [(name, _leg(name, place, waypoints)) for name, *place in _rows(text)]
    missing = tuple(f"{name}: gone, or one of several of that name" for name, leg in found if leg is None)
    return Recalled(tuple(leg for _, leg in found if leg is not None), missing)


def follow(leg: Waypoint, waypoints: Sequence[Waypoint]) -> Waypoint | None:
    """The same waypoint after the file has changed: equal, or of its name and place, or the only one of its name."""
    return leg if leg in waypoints else _leg(leg.name, list(leg.position), waypoints)


def _leg(name: str, place: list[Any], waypoints: Sequence[Waypoint]) -> Waypoint | None:
    named = [one for one in waypoints if one.name == name]
    there = [one for one in named if _is_at(one, place)]
    if there:
        return there[0]
    return named[0] if len(named) == 1 else None


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
    numbers = all(isinstance(value, int | float) for value in row[1:])
    return len(row) == 3 and isinstance(row[0], str) and numbers
