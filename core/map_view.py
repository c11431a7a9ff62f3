"""A flat map of the surroundings: positions to metres and dots and back, north up.

Azimuthal equidistant around an origin: distances and directions from it are true. A position is laid on the WGS 84
ellipsoid as earth-centred coordinates, seen from straight above the origin, and the foreshortening of that view is
taken out as on a sphere. Nothing in it knows of meridians, so the antimeridian and the poles are places like any other.

Errors, against the geodesic: 0.001 % of any distance within 50 km of the origin, 0.1 % within 500 km, where what lies
across the direction to the origin is stretched, as in every such map. Beyond that it is a map of the world, each place
once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple, Self

from core.fix import Position
from core.places.geodesic import FLATTENING, SEMI_MAJOR_M
from core.units import in_use

_E2 = FLATTENING * (2 - FLATTENING)
_NEAR = 0.01
"""Squared share of the radius (a tenth of it, 640 km) up to which three terms of the arc sine are right to 5e-8."""
_ROUNDS = 6
"""Of the inverse: each gains five figures near the origin, and two where the map is one of the world."""

DOT_STEPS_M = (0.5, *(figure * 10.0**power for power in range(6) for figure in (1, 2, 5)))
"""Metres to the dot that a map may have: a path across a yard, to the whole world in eighty dots."""


class Vector(NamedTuple):
    """A point on the ellipsoid, earth-centred: metres, z to the north pole, x to longitude 0."""

    x: float
    y: float
    z: float


def is_place(position: Position) -> bool:
    """Whether there is such a place: NaN is nowhere, nor is a latitude beyond a pole."""
    return abs(position.latitude_deg) <= 90.0 and math.isfinite(position.longitude_deg)


def vector(position: Position) -> Vector:
    """Where a position is, at height 0."""
    latitude, longitude = math.radians(position.latitude_deg), math.radians(position.longitude_deg)
    sine, cosine = math.sin(latitude), math.cos(latitude)
    normal_m = SEMI_MAJOR_M / math.sqrt(1 - _E2 * sine * sine)
    return Vector(
        normal_m * cosine * math.cos(longitude),
        normal_m * cosine * math.sin(longitude),
        normal_m * (1 - _E2) * sine,
    )


def position_of(at: Vector) -> Position:
    """The inverse of `vector`."""
    level = math.hypot(at.x, at.y) * (1 - _E2)
    return Position(math.degrees(math.atan2(at.z, level)), math.degrees(math.atan2(at.y, at.x)))


class Plane:
    """The map in metres: east and north of an origin."""

    __slots__ = ("_east", "_north", "_north_0", "_radius_m", "_up", "_up_0", "origin")

    def __init__(self, origin: Position) -> None:
        """`origin`: a place, see `is_place`. At a pole, north is along the meridian opposite the given longitude."""
        latitude, longitude = math.radians(origin.latitude_deg), math.radians(origin.longitude_deg)
        sine, cosine = math.sin(latitude), math.cos(latitude)
        across, along = math.sin(longitude), math.cos(longitude)
        self.origin = origin
        self._east = (-across, along)
        self._north = (-sine * along, -sine * across, cosine)
        self._up = (cosine * along, cosine * across, sine)
        here = vector(origin)
        self._north_0 = sum(map(float.__mul__, self._north, here))
        self._up_0 = sum(map(float.__mul__, self._up, here))
        # The Gaussian radius, the mean of all directions; only the small corrections hang on it.
        self._radius_m = SEMI_MAJOR_M * math.sqrt(1 - _E2) / (1 - _E2 * sine * sine)

    def east_north(self, at: Vector) -> tuple[float, float]:
        """Metres east and north of the origin."""
        return self.all_east_north((at,))[0]

    def all_east_north(self, places: Iterable[Vector]) -> list[tuple[float, float]]:
        """The same for many: the loop that drawing a track spends its time in."""
        ax, ay = self._east
        bx, by, bz = self._north
        cx, cy, cz = self._up
        north_0, flatness = self._north_0, 1 / (self._radius_m * self._radius_m)
        found = []
        for x, y, z in places:
            east, north = ax * x + ay * y, bx * x + by * y + bz * z - north_0
            up = cx * x + cy * y + cz * z
            share = (east * east + north * north) * flatness
            if share < _NEAR and up > 0:
                stretch = 1 + share * (1 / 6 + share * (3 / 40 + share * (15 / 336)))
            else:
                stretch = self._far_stretch(math.sqrt(share), up - self._up_0)
            found.append((east * stretch, north * stretch))
        return found

    def _far_stretch(self, share: float, below_m: float) -> float:
        arc = math.atan2(share, 1 + below_m / self._radius_m)
        return arc / share if share else 1.0

    def is_beyond(self, at: Vector) -> bool:
        """Whether it lies in the other half of the world, where the map is stretched without limit."""
        return self._up[0] * at.x + self._up[1] * at.y + self._up[2] * at.z < 0

    def position(self, east_m: float, north_m: float) -> Position:
        """The inverse, to a millimetre within 500 km; what lies beyond the edge of the world is taken from the edge."""
        edge = self._radius_m * math.pi * 0.99
        shrink = min(1.0, edge / (math.hypot(east_m, north_m) or 1.0))
        wanted = tried = (east_m * shrink, north_m * shrink)
        found = self._on_sphere(*tried)
        for _ in range(_ROUNDS):
            east, north = self.east_north(vector(found))
            tried = (tried[0] + wanted[0] - east, tried[1] + wanted[1] - north)
            found = self._on_sphere(*tried)
        return found

    def _on_sphere(self, east_m: float, north_m: float) -> Position:
        """On the sphere that touches the ellipsoid at the origin: right to a third of a percent."""
        metres = math.hypot(east_m, north_m)
        arc = metres / self._radius_m
        out = math.sin(arc) / metres if metres else 0.0
        parts = (*self._east, 0.0), self._north, self._up
        shares = east_m * out, north_m * out, math.cos(arc)
        x, y, z = (sum(share * part[n] for share, part in zip(shares, parts, strict=True)) for n in range(3))
        # These are directions of the ellipsoid's normal, whose latitude is the one wanted.
        return Position(math.degrees(math.atan2(z, math.hypot(x, y))), math.degrees(math.atan2(y, x)))


@dataclass(frozen=True, slots=True, eq=False)
class MapView:
    """A map as drawn: dots, x to the right, y down, dot 0 in the upper left corner. Compared by identity."""

    plane: Plane
    metres_per_dot: float
    """Above 0. True at the plane's origin."""
    size: tuple[int, int]
    """Dots wide and high."""
    offset: tuple[float, float] = (0.0, 0.0)
    """How many dots the middle of the map lies right of and below the plane's origin."""

    @property
    def middle(self) -> tuple[float, float]:
        """The dot in the middle. A whole one: else what lies there would be drawn now on this side, now on that."""
        return self.size[0] // 2, self.size[1] // 2

    def dot(self, at: Vector) -> tuple[float, float]:
        """Where a place lies, inside the map or not."""
        return self.dots((at,))[0]

    def dots(self, places: Iterable[Vector]) -> list[tuple[float, float]]:
        """The same for many."""
        middle, share = self.middle, 1 / self.metres_per_dot
        x, y = middle[0] - self.offset[0], middle[1] - self.offset[1]
        return [(x + east * share, y - north * share) for east, north in self.plane.all_east_north(places)]

    def place(self, x: float, y: float) -> Position:
        """The position at a dot."""
        right, down = x - self.middle[0] + self.offset[0], y - self.middle[1] + self.offset[1]
        return self.plane.position(right * self.metres_per_dot, -down * self.metres_per_dot)

    def holds(self, dot: tuple[float, float], share: float = 1.0) -> bool:
        """Whether a dot lies in the middle `share` of the map's width and height."""
        x, y = self.middle
        return abs(dot[0] - x) <= self.size[0] / 2 * share and abs(dot[1] - y) <= self.size[1] / 2 * share

    def may_show(self, centre: Vector, reach_m: float) -> bool:
        """False when nothing within `reach_m` of a point can be on the map."""
        if self.plane.is_beyond(centre):
            return True
        x, y = self.dot(centre)
        # Up to a quarter round the world the map stretches by pi / 2 at most; what is near that edge reaches past it.
        reach = reach_m * 1.6 / self.metres_per_dot + 1
        near = -reach < x < self.size[0] + reach and -reach < y < self.size[1] + reach
        return near or reach_m > _WIDE_M

    def moved(self, right: float, down: float) -> Self:
        """The same map, its middle so many dots farther on."""
        offset = (self.offset[0] + right, self.offset[1] + down)
        return type(self)(self.plane, self.metres_per_dot, self.size, offset)


_WIDE_M = 2_000_000.0
"""Heaps of points wider than this are never skipped unseen: part of them may lie beyond a quarter of the world."""


def round_length_m(metres_per_dot: float, most_dots: float) -> float:
    """The longest of 1, 2, 5, 10, ... metres that is no longer than so many dots."""
    longest = max(metres_per_dot * most_dots, 1e-3)
    power = 10.0 ** math.floor(math.log10(longest) + 1e-9)
    return next(figure * power for figure in (5.0, 2.0, 1.0) if figure * power <= longest * (1 + 1e-9))


def ruler_m(metres_per_dot: float, most_dots: float) -> float:
    """The longest round length, in the user's units, of at most so many dots; in metres."""
    unit_m = in_use().scale_unit(metres_per_dot * most_dots).size
    return round_length_m(metres_per_dot / unit_m, most_dots) * unit_m
