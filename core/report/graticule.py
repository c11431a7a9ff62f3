"""Meridians and parallels on the trail's map, at round figures."""

from __future__ import annotations

import math
from typing import NamedTuple

from core.fix import Position
from core.map_view import MapView, vector
from core.report.axes import round_step
from core.report.markup import Markup, tag
from core.report.svg import Box, Point, label, path
from core.report.words import number

MOST_LINES = 5
STEPS = 12
"""Of a line across the map: they are curved on a large one."""
NEAREST_POLE_DEG, WIDEST_DEG = 85.0, 90.0
"""Beyond, meridians run together, or the map is one of half the world: no lines are better than wrong ones."""


Lines = list[tuple[float, list[Point]]]
"""Degrees, and the points of the line."""


class Extent(NamedTuple):
    """What a map shows, degrees; longitudes go on past 180 where the antimeridian is on it."""

    south: float
    north: float
    west: float
    east: float


def graticule(view: MapView, box: Box) -> Markup | None:
    """Lines with their figures at the edges; None near a pole, or of a very large map."""
    extent = _extent(view, box)
    if max(abs(extent.south), abs(extent.north)) > NEAREST_POLE_DEG or extent.east - extent.west > WIDEST_DEG:
        return None
    step_lat = _step_deg(extent.north - extent.south)
    step_lon = _step_deg(extent.east - extent.west)
    parallels = [[_dot(view, lat, lon) for lon in _across(extent.west, extent.east)] for lat in _lat(extent, step_lat)]
    meridians = [
        [_dot(view, lat, lon) for lat in _across(extent.south, extent.north)] for lon in _lon(extent, step_lon)
    ]
    return tag(
        "g",
        tag("g", path([*parallels, *meridians], "rule"), clip_path="url(#trail-box)"),
        *_labels_left(list(zip(_lat(extent, step_lat), parallels, strict=True)), box, step_lat),
        *_labels_below(list(zip(_lon(extent, step_lon), meridians, strict=True)), box, step_lon),
    )


def _extent(view: MapView, box: Box) -> Extent:
    middle = view.plane.origin
    edge = [(x, y) for x in _across(box.left, box.right) for y in _across(box.top, box.bottom)]
    places = [view.place(x, y) for x, y in edge]
    lons = [middle.longitude_deg + math.remainder(one.longitude_deg - middle.longitude_deg, 360.0) for one in places]
    lats = [one.latitude_deg for one in places]
    return Extent(min(lats), max(lats), min(lons), max(lons))


def _across(first: float, last: float) -> list[float]:
    return [first + (last - first) * number / STEPS for number in range(STEPS + 1)]


def _step_deg(width: float) -> float:
    return round_step(width, MOST_LINES)


def _lat(extent: Extent, step: float) -> list[float]:
    return _multiples(extent.south, extent.north, step)


def _lon(extent: Extent, step: float) -> list[float]:
    return _multiples(extent.west, extent.east, step)


def _multiples(low: float, high: float, step: float) -> list[float]:
    return [number * step for number in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _dot(view: MapView, latitude: float, longitude: float) -> Point:
    return view.dot(vector(Position(latitude, longitude)))


def _labels_left(lines: Lines, box: Box, step: float) -> list[Markup]:
    found = []
    for latitude, points in lines:
        y = _where(points, box.left, 0)
        if box.top + 8 < y < box.bottom - 8:
            found.append(label((box.left - 5, y), _degrees(latitude, step, "NS"), "end mid"))
    return found


def _labels_below(lines: Lines, box: Box, step: float) -> list[Markup]:
    found = []
    for longitude, points in lines:
        x = _where(points, box.bottom, 1)
        if box.left + 20 < x < box.right - 20:
            found.append(
                label((x, box.bottom + 6), _degrees(math.remainder(longitude, 360.0), step, "EW"), "mid-x under")
            )
    return found


def _where(points: list[Point], edge: float, axis: int) -> float:
    """The other coordinate of the point of a line that is nearest to an edge."""
    nearest = min(points, key=lambda point: abs(point[axis] - edge))
    return nearest[1 - axis]


def _degrees(value: float, step: float, letters: str) -> str:
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    letter = letters[0] if value >= 0 else letters[1]
    shown = number(abs(value), places)
    return f"{shown}°" if abs(value) in {0.0, 180.0} else f"{shown}° {letter}"
