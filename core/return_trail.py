"""The way back along the recorded track, from its newest point to its first.

A track is no list of marks: `route_back` thins it (`core.simplify`) and makes a route that is followed by progress
along it (`core.trail_path`, `core.navigator`). Where the track has a gap, the straight line across it is a guess, and
`gap_ahead` says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from core.errors import InputError
from core.fix import Position
from core.going import Goal, Going, Route
from core.places.geodesic import distance_m, way
from core.samples import earth_centred
from core.simplify import Spot, simplified
from core.track import TrackView
from core.trail_path import left_from, next_point, onward_m

TRAIL, TRAIL_START = "trail", "start of the trail"
"""Names of its goals."""
LOOKAHEAD_M = 20.0
"""What is pointed at lies at least so far ahead: at 20 m an error of 3 m turns the direction by 9 degrees, at 5 m by 31
(calc)."""
SHARP_TURN_DEG = 60.0
TURN_AT_M = 10.0
"""Nobody is pointed round a bend sharper than that until this near to it: between the arms of a hairpin lies what it
goes round (common practice, no source)."""


class _Place(NamedTuple):
    """A point of the track."""

    position: Position
    piece: int
    """Unlike that of another point: there is a gap between them."""


def route_back(view: TrackView) -> Route:
    """Guidance back along the track: goals from the newest point to the first, at most 4000, followed by progress.

    Raises InputError where there is no track yet.
    """
    places = list(_places(view))
    if not places:
        raise InputError("there is no trail yet: it begins with the first usable fix")
    spots = simplified([_spot(places, number) for number in range(len(places) - 1, -1, -1)])
    goals = [
        Goal(TRAIL, places[to.number].position, across_gap=places[before.number].piece > places[to.number].piece)
        for before, to in pairwise([spots[0], *spots])
    ]
    return Route((*goals[:-1], goals[-1]._replace(name=TRAIL_START)), by_trail=True)


def route_resumed(view: TrackView, count: int) -> Route:
    """The way back that was begun when the track had `count` points, from about where its points since have come to.

    Those are told again, one by one: after a stop nobody is led outwards to where the way back began. Raises
    InputError as `route_back`.
    """
    route = route_back(view._replace(count=count))
    if route.path is None:
        return route
    along_m = 0.0
    for point in view.points[count : view.count]:
        if _is_place(point.position):
            along_m = onward_m(route.path, along_m, earth_centred(point.position))
    passed = max(0, next_point(route.path, along_m) - 1)
    return Route(route.goals[passed:], by_trail=True)


def left_m(route: Route, going: Going, here: Position) -> float:
    """Metres still to go along the trail to its end; the way back to it counts beyond the 20 m that errors explain.

    `going`: as told on this route; told on another or on none, all of the trail lies ahead. On a route that is not
    followed by trail: to the goal and through all after it.
    """
    if route.path:
        along_m = going.along_trail_m if going.route is route else None
        return left_from(route.path, along_m or 0.0, earth_centred(here))
    places = [here, *(goal.position for goal in route.goals[going.leg if going.route is route else 0 :])]
    return sum(distance_m(a, b) for a, b in pairwise(places))


def lookahead(route: Route, leg: int, here: Position, metres: float = LOOKAHEAD_M) -> Goal:
    """The goal to point at: the first from `leg` (`Going.leg`) on with that much trail before it, or the last.

    A bend of more than 60 degrees is not looked round before one is within 10 m of it.
    """
    goals = route.goals[leg:] or route.goals[-1:]
    ahead_m = distance_m(here, goals[0].position)
    for number, (goal, following) in enumerate(pairwise(goals)):
        before = goals[number - 1].position if number else here
        if ahead_m >= metres or (ahead_m > TURN_AT_M and _turns_sharply(before, goal.position, following.position)):
            return goal
        ahead_m += distance_m(goal.position, following.position)
    return goals[-1]


def gap_ahead(route: Route, going: Going) -> bool:
    """Whether the leg now gone crosses a gap of the track: straight on is a guess there, and the ground is unknown."""
    return going.route is route and route.goals[going.leg].across_gap


def _is_place(position: Position) -> bool:
    """NaN is nowhere: it compares false."""
    return abs(position.latitude_deg) <= 90.0 and math.isfinite(position.longitude_deg)


def _places(view: TrackView) -> Iterator[_Place]:
    """The track, oldest first; what is nowhere on the globe is left out, the gap it began is not."""
    piece = 0
    for point in view.points[: view.count]:
        piece += point.begins
        if _is_place(point.position):
            yield _Place(point.position, piece)


def _spot(places: list[_Place], number: int) -> Spot:
    piece = places[number].piece
    beside = (places[max(0, number - 1)].piece, places[min(number + 1, len(places) - 1)].piece)
    return Spot(earth_centred(places[number].position), number, must_stay=beside != (piece, piece))


def _turns_sharply(before: Position, at: Position, after: Position) -> bool:
    turn_deg = way(at, after).initial_bearing_deg - way(before, at).final_bearing_deg
    return abs((turn_deg + 180.0) % 360.0 - 180.0) > SHARP_TURN_DEG
