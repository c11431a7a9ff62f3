"""Somebody's track as a way to be led along, as it was gone or backwards."""

from __future__ import annotations

from collections.abc import Sequence

from core.formats.given_track import GivenPoint, GivenTrack
from core.going import Route
from core.return_trail import route_back
from core.track import TrackPoint, TrackView

TRACK, TRACK_END = "track", "end of the track"
"""Names of its goals."""


def route_along(track: GivenTrack, *, backwards: bool) -> Route:
    """Thinned, and followed by progress along it as the way back by trail is (`core.return_trail`)."""
    ordered = list(track.points) if backwards else _turned(track.points)
    points = [TrackPoint(one.position, 0.0, None, one.altitude_m, one.begins) for one in ordered]
    goals = route_back(TrackView(points, len(points))).goals
    named = [goal._replace(name=TRACK) for goal in goals[:-1]]
    return Route((*named, goals[-1]._replace(name=TRACK_END)), by_trail=True)


def _turned(points: Sequence[GivenPoint]) -> list[GivenPoint]:
    """The other way round: a gap before a point is now one before its neighbour."""
    after = [*(one.begins for one in points[1:]), True]
    return [one._replace(begins=begins) for one, begins in zip(reversed(points), reversed(after), strict=True)]
