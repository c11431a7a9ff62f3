"""Inside which locator square, how surely, and which way out; and how coarse places make a bearing.

Distances are on the ellipsoid. A square's west and east edges are meridians, which are geodesics; its south and north
edges are parallels, which are not, but the shortest way to a parallel is along the meridian. The poles are corners of
the last squares and no edges.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import NamedTuple

from geographiclib.geodesic import Geodesic
from geographiclib.geodesicline import GeodesicLine

from core.fix import Position
from core.places.cross_track import beside_line
from core.places.geodesic import FLATTENING, way
from core.places.locator import locator

_HEIGHTS_DEG = {4: Fraction(1), 6: Fraction(1, 24), 8: Fraction(1, 240)}
"""Of a square, by the length of its locator; it is twice as wide (IARU Region 1)."""
R95_OVER_SIGMA = math.sqrt(-2 * math.log(0.05))
"""Circular normal errors: 95 % lie within this many sigma of one axis, 2.4477."""
_MEAN_RADIUS_M = 6_371_008.8
"""Of the ellipsoid, (2a + b) / 3."""
_HAIR = 1e-12
_FULL_TURN = 2 * math.pi


class Square(NamedTuple):
    """The box that a locator names. It owns its south and west edges, not the others."""

    locator: str
    south_deg: float
    west_deg: float
    north_deg: float
    east_deg: float
    """Up to 180, never below `west_deg`."""


class Edge(NamedTuple):
    """One side of the square that a place lies in."""

    side: str
    """"north", "east", "south" or "west"."""
    distance_m: float
    bearing_deg: float
    """True direction of the shortest way to it, 0 to below 360."""
    beyond: str
    """Locator of the square on the other side."""


class Exit(NamedTuple):
    """Where a course leaves the square."""

    side: str
    distance_m: float
    seconds: float | None
    """Until then at this speed; None without a speed above zero."""
    beyond: str
    """Locator of the square it leads to; empty across a pole, where every square of the row meets."""


def square(position: Position, characters: int = 6) -> Square:
    """The square of 4, 6 or 8 characters. Raises ValueError for another number."""
    if characters not in _HEIGHTS_DEG:
        raise ValueError(f"a square to be inside of has 4, 6 or 8 characters, not {characters}")
    height = _HEIGHTS_DEG[characters]
    row = min(Fraction(position.latitude_deg) + 90, 180 - height) // height
    column = (Fraction(position.longitude_deg) + 180) % 360 // (2 * height)
    south, west = row * height - 90, column * 2 * height - 180
    sides = (south, west, south + height, west + 2 * height)
    return Square(locator(position, characters), *(float(side) for side in sides))


def edges(position: Position, characters: int = 6) -> tuple[Edge, ...]:
    """The sides of the square around a place, the nearest first."""
    box = square(position, characters)
    found = [_parallel(position, box, side) for side in ("north", "south") if not _is_pole(box, side)]
    found.extend(_meridian(position, box, side) for side in ("east", "west"))
    return tuple(sorted(found, key=lambda edge: edge.distance_m))


def nearest_edge(position: Position, characters: int = 6) -> Edge:
    """The side of the square that is nearest."""
    return edges(position, characters)[0]


def next_edge(position: Position, course_deg: float, speed_mps: float | None, characters: int = 6) -> Exit:
    """Where the geodesic that begins with this true course leaves the square.

    Whether the course can be trusted at this speed is `core.course`'s question.
    """
    box = square(position, characters)
    line = Geodesic.WGS84.Line(*position, course_deg)
    side, arc_deg = min(_ways_out(line, position, box), key=lambda out: out[1])
    distance_m = line.ArcPosition(arc_deg, Geodesic.DISTANCE)["s12"]
    seconds = distance_m / speed_mps if speed_mps and speed_mps > 0.0 else None
    return Exit(side, distance_m, seconds, "" if _is_pole(box, side) else _beyond(box, side))


def probability_inside(position: Position, error_95_m: float, characters: int = 6) -> float:
    """How likely the true place is inside the square the reported one lies in, 0 to 1.

    Approximation: errors are circular normal, so one sigma is the 95 % radius over 2.4477 and the two axes are
    independent; the square is a rectangle around the place, its sides as far as the edges are. The slant of the
    meridians is left out: 100 m off the place it moves an edge 100 m away by 3 mm at 60 degrees of latitude. It says
    nothing of a wrong datum or of reflections. Raises ValueError for an error that is negative or not a number.
    """
    if not error_95_m >= 0.0:
        raise ValueError(f"a 95 % error is zero or more metres, not {error_95_m}")
    away_m = {edge.side: edge.distance_m for edge in edges(position, characters)}
    sigma_m = error_95_m / R95_OVER_SIGMA
    sides = (("north", "south"), ("east", "west"))
    return math.prod(_between(away_m.get(one, math.inf), away_m.get(other, math.inf), sigma_m) for one, other in sides)


def corner_radius_m(box: Square) -> float:
    """From the middle of a square to its farthest corner, metres: how coarse a locator is as a place."""
    middle = Position((box.south_deg + box.north_deg) / 2, (box.west_deg + box.east_deg) / 2)
    return max(way(middle, Position(latitude, box.west_deg)).distance_m for latitude in (box.south_deg, box.north_deg))


def bearing_uncertainty_deg(distance_m: float, radius_a_m: float, radius_b_m: float) -> float:
    """How far a bearing may be off, either way, when each end may lie anywhere within its radius; 0 to 180.

    The worst case, not a sigma: the tangent to both circles, on a sphere (a distance of half the way round the Earth
    focuses every bearing, as the distance next door does). 180 says that the bearing means nothing.
    """
    across = math.sin(distance_m / _MEAN_RADIUS_M)
    apart = (radius_a_m + radius_b_m) / _MEAN_RADIUS_M
    if apart <= 0.0:
        return 0.0
    if apart >= math.pi / 2 or math.sin(apart) >= across:
        return 180.0
    return math.degrees(math.asin(math.sin(apart) / across))


def _is_pole(box: Square, side: str) -> bool:
    return (side == "north" and box.north_deg == 90.0) or (side == "south" and box.south_deg == -90.0)


def _beyond(box: Square, side: str) -> str:
    """Name of the neighbour: where the middle of the square comes to lie when moved by one square."""
    height, width = box.north_deg - box.south_deg, box.east_deg - box.west_deg
    north = {"north": height, "south": -height}.get(side, 0.0)
    east = {"east": width, "west": -width}.get(side, 0.0)
    middle = Position(box.south_deg + height / 2 + north, box.west_deg + width / 2 + east)
    return locator(middle, len(box.locator))


def _parallel(position: Position, box: Square, side: str) -> Edge:
    edge_deg = box.north_deg if side == "north" else box.south_deg
    distance_m = way(position, Position(edge_deg, position.longitude_deg)).distance_m
    return Edge(side, distance_m, 0.0 if side == "north" else 180.0, _beyond(box, side))


def _meridian(position: Position, box: Square, side: str) -> Edge:
    edge_deg = box.east_deg if side == "east" else box.west_deg
    foot = beside_line(Position(position.latitude_deg, edge_deg), 0.0, position).foot
    there = way(position, foot)
    straight_deg = 90.0 if side == "east" else 270.0
    on_it = there.distance_m == 0.0
    return Edge(side, there.distance_m, straight_deg if on_it else there.initial_bearing_deg, _beyond(box, side))


def _ways_out(line: GeodesicLine, position: Position, box: Square) -> list[tuple[str, float]]:
    """Sides that the line crosses and the arc to each, degrees on the auxiliary sphere."""
    north_arc = _arc_to_parallel(line, position, box.north_deg, rising=True)
    south_arc = _arc_to_parallel(line, position, box.south_deg, rising=False)
    found = [("north", north_arc), ("south", south_arc)]
    east = math.sin(math.radians(line.azi1))
    if abs(east) > _HAIR:
        side = "east" if east > 0.0 else "west"
        found.append((side, _arc_to_meridian(line, _gap_deg(position, box, side))))
    return [(side, arc) for side, arc in found if arc is not None]


def _reduced(latitude_deg: float) -> float:
    """The latitude on the auxiliary sphere, radians, on which a geodesic is a great circle (Karney 2013)."""
    return math.atan2((1 - FLATTENING) * math.sin(math.radians(latitude_deg)), math.cos(math.radians(latitude_deg)))


def _arc_to_parallel(line: GeodesicLine, position: Position, edge_deg: float, *, rising: bool) -> float | None:
    """Exact, from sin(beta) = sin(beta1) cos(arc) + cos(beta1) cos(azimuth) sin(arc); None when it is never reached."""
    start, edge = _reduced(position.latitude_deg), math.sin(_reduced(edge_deg))
    across = math.cos(start) * math.cos(math.radians(line.azi1))
    highest, at_highest = math.hypot(math.sin(start), across), math.atan2(across, math.sin(start))
    if abs(edge) > highest + _HAIR:
        return None
    half = math.acos(max(-1.0, min(1.0, edge / highest)))
    arc = (at_highest - half if rising else at_highest + half) % _FULL_TURN
    # A place on the edge itself is left at once: rounding must not send it all the way round.
    return 0.0 if _FULL_TURN - arc < _HAIR else math.degrees(arc)


def _gap_deg(position: Position, box: Square, side: str) -> float:
    """Degrees of longitude to the east or west edge. Both are rounded to the nearest double, so neither is behind."""
    ahead = box.east_deg - position.longitude_deg if side == "east" else position.longitude_deg - box.west_deg
    return ahead % 360.0


def _arc_to_meridian(line: GeodesicLine, gap_deg: float) -> float:
    """Longitude only grows along a geodesic, so halving finds the one place."""
    near, far = 0.0, 180.0
    wanted = Geodesic.LONGITUDE | Geodesic.LONG_UNROLL
    for _ in range(60):
        middle = (near + far) / 2
        passed = abs(line.ArcPosition(middle, wanted)["lon2"] - line.lon1) >= gap_deg
        near, far = (near, middle) if passed else (middle, far)
    return far


def _between(one_m: float, other_m: float, sigma_m: float) -> float:
    """Normal law: how much lies between the edges one way and the other."""
    return _within(one_m, sigma_m) + _within(other_m, sigma_m)


def _within(edge_m: float, sigma_m: float) -> float:
    """Between the middle and one edge, 0 to a half."""
    if sigma_m == 0.0:
        return 0.5
    return math.erf(edge_m / sigma_m / math.sqrt(2)) / 2
