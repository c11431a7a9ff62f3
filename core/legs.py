"""One leg of a route, and how a place lies to it."""

from __future__ import annotations

from typing import NamedTuple

from core.fix import Position
from core.going import Goal
from core.guidance import AT_TARGET_M
from core.places.cross_track import beside_line
from core.places.geodesic import way


class Leg(NamedTuple):
    """From where the leg began to its goal."""

    start: Position
    goal: Goal
    length_m: float
    bearing_deg: float | None
    """At the start; None for a leg under a metre, whose direction is made of noise."""


class Seen(NamedTuple):
    """Where a place lies as seen from a leg."""

    distance_m: float
    """To the goal."""
    cross_track_m: float | None
    """Right of the leg positive; None where the leg has no direction."""
    along_track_m: float | None


def leg_to(start: Position, goal: Goal) -> Leg:
    """The leg, its length and direction worked out once."""
    line = way(start, goal.position)
    return Leg(start, goal, line.distance_m, line.initial_bearing_deg if line.distance_m >= AT_TARGET_M else None)


def seen_from(leg: Leg, place: Position) -> Seen:
    """Distances of a place, to a millimetre (`core.places.cross_track`)."""
    distance_m = way(place, leg.goal.position).distance_m
    if leg.bearing_deg is None:
        return Seen(distance_m, None, None)
    beside = beside_line(leg.start, leg.bearing_deg, place)
    return Seen(distance_m, beside.cross_track_m, beside.along_track_m)
