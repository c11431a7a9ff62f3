"""Where the antenna truly is at any moment of a scenario: along geodesics, round its turns, at the speeds told.

The way as it is written is a chain of straight pieces, each at one speed or at rest. What is walked is the mean of
that over `turn_s` seconds around each moment: corners are rounded, starts and stops take their time, and speed and
course are the exact derivatives of the position. On a straight piece the mean is the way itself.

Distances are over the ellipsoid; at 500 m of height an antenna goes 0.008 % further.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from geographiclib.geodesic import Geodesic
from geographiclib.geodesicline import GeodesicLine

from core.fix import Position
from core.rehearsal.offset import moved
from core.rehearsal.records import Truth
from core.rehearsal.scenario import Scenario, Stop
from core.rehearsal.walls import Surroundings

STILL_MPS = 1e-6

Vector = tuple[float, float, float]
"""East, north, up."""


class _Piece(NamedTuple):
    """A stretch of time at one velocity."""

    begin_s: float
    end_s: float
    line: GeodesicLine
    """From where it begins; a rest is a line along which nothing moves."""
    speed_mps: float
    height_m: float
    """At its beginning, above mean sea level."""
    climb_mps: float
    surroundings: Surroundings

    def at(self, seconds: float) -> tuple[Position, float]:
        """Where it is at a moment within it, and which way it leads there (true)."""
        here = self.line.Position(self.speed_mps * (seconds - self.begin_s))
        return Position(here["lat2"], here["lon2"]), here["azi2"]

    def height_at(self, seconds: float) -> float:
        """Above mean sea level."""
        return self.height_m + self.climb_mps * (seconds - self.begin_s)

    def velocity(self, seconds: float) -> Vector:
        """At the moment within it that is nearest."""
        if not self.speed_mps:
            return 0.0, 0.0, 0.0
        angle = math.radians(self.at(min(max(seconds, self.begin_s), self.end_s))[1])
        return self.speed_mps * math.sin(angle), self.speed_mps * math.cos(angle), self.climb_mps


class _Track(NamedTuple):
    """All pieces, without gaps, from 0 on."""

    pieces: list[_Piece]
    begins_s: list[float]
    half_s: float
    """Half of what a turn takes."""

    def piece_at(self, seconds: float) -> _Piece:
        return self.pieces[max(0, bisect_right(self.begins_s, seconds) - 1)]


def duration_s(scenario: Scenario) -> float:
    """From switching on to the end of the path, a second or more."""
    return _track(scenario).pieces[-1].end_s


def truth_at(scenario: Scenario, seconds: float) -> Truth:
    """The truth so many seconds after the start; before and after the path it stands still."""
    track = _track(scenario)
    moment = min(max(seconds, 0.0), track.pieces[-1].end_s)
    piece = track.piece_at(moment)
    position, heading = piece.at(moment)
    (east, north, _), shift = _mean(track, piece, seconds)
    speed = math.hypot(east, north)
    return Truth(
        position=moved(position, shift[0], shift[1]) if any(shift) else position,
        height_m=piece.height_at(moment) + shift[2] + scenario.geoid_separation_m,
        geoid_separation_m=scenario.geoid_separation_m,
        speed_mps=speed if speed > STILL_MPS else 0.0,
        course_deg=math.degrees(math.atan2(east, north)) % 360.0 if speed > STILL_MPS else heading % 360.0,
        surroundings=piece.surroundings,
        events=frozenset(one.what for one in scenario.events if one.from_s <= seconds < one.to_s),
    )


def _mean(track: _Track, piece: _Piece, seconds: float) -> tuple[Vector, Vector]:
    """Mean velocity over a turn's time, and how far the mean place is from the way as it is written."""
    half = track.half_s
    if piece.begin_s <= seconds - half and seconds + half <= piece.end_s:
        return piece.velocity(seconds), (0.0, 0.0, 0.0)
    velocity, shift = [0.0] * 3, [0.0] * 3
    for near in _near(track, seconds):
        weights = _weights(near, seconds, half)
        for axis, value in enumerate(near.velocity(seconds)):
            velocity[axis] += weights[0] * value
            shift[axis] += weights[1] * value
    return (velocity[0], velocity[1], velocity[2]), (shift[0], shift[1], shift[2])


def _near(track: _Track, seconds: float) -> Iterator[_Piece]:
    first = max(0, bisect_right(track.begins_s, seconds - track.half_s) - 1)
    for piece in track.pieces[first:]:
        if piece.begin_s >= seconds + track.half_s:
            return
        yield piece


def _weights(piece: _Piece, seconds: float, half: float) -> tuple[float, float]:
    """What a piece's velocity v adds to the means over [t - h, t + h]: to the velocity, and to the place (in seconds).

    The place's part is 1/2h times the integral of (h - u) v over u in 0..h, less that of (h + u) v over u in -h..0.
    """
    begin, end = piece.begin_s - seconds, piece.end_s - seconds
    low, high = _clamped(begin, -half, half), _clamped(end, -half, half)
    after = (half - max(low, 0.0)) ** 2 - (half - max(high, 0.0)) ** 2
    before = (half + min(high, 0.0)) ** 2 - (half + min(low, 0.0)) ** 2
    return (high - low) / (2 * half), (after - before) / (4 * half)


def _clamped(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


@lru_cache(maxsize=8)
def _track(scenario: Scenario) -> _Track:
    pieces = list(_pieces(scenario.stops))
    return _Track(pieces, [piece.begin_s for piece in pieces], scenario.turn_s / 2)


def _pieces(stops: tuple[Stop, ...]) -> Iterator[_Piece]:
    """Rest and way, rest and way; those of no length are left out, but for one."""
    clock_s, heading = 0.0, 0.0
    for number, stop in enumerate(stops):
        last = number + 1 == len(stops)
        inverse = None if last else Geodesic.WGS84.Inverse(*stop.position, *stops[number + 1].position)
        heading = inverse["azi1"] if inverse else heading
        around = stop.around.surroundings(heading)
        line = Geodesic.WGS84.Line(*stop.position, heading)
        if stop.pause_s:
            yield _Piece(clock_s, clock_s + stop.pause_s, line, 0.0, stop.height_m, 0.0, around)
            clock_s += stop.pause_s
        if inverse:
            takes_s = inverse["s12"] / stop.speed_mps
            climb = (stops[number + 1].height_m - stop.height_m) / takes_s
            yield _Piece(clock_s, clock_s + takes_s, line, stop.speed_mps, stop.height_m, climb, around)
            clock_s += takes_s
            heading = inverse["azi2"]
