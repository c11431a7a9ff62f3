"""Tracks of GeoJSON (RFC 7946): lines, else points in their order.

Coordinates are longitude, latitude and perhaps a height above the ellipsoid (RFC 7946, 3.1.1), which is not one above
the sea: it is left out. The standard has no times; they are taken where common practice puts them (no source): a list
beside a line's coordinates (`coordinateProperties.times`, `coordTimes`, `times`), one text beside a point (`time`,
`timestamp`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import zip_longest
from typing import Any

from core.formats.given_track import GivenPoint, joined, moment, number, position_of
from core.formats.safe_json import parse_json

Points = list[GivenPoint | None]
DEEPEST = 16
"""Collections within collections."""


def geojson_points(data: bytes, name: str) -> Iterator[GivenPoint | None]:
    """In the order of the file; None for a point without a place. Raises InputError."""
    root = parse_json(data, name)
    found = list(_geometries(root, {}, DEEPEST))
    lines = [line for geometry, properties in found for line in _lines(geometry, properties)]
    points = [
        _point(geometry.get("coordinates"), _time(properties)) for geometry, properties in found if _is_point(geometry)
    ]
    yield from joined(lines if sum(map(len, lines)) > 1 else [points])


def _geometries(
    item: Any, properties: Mapping[str, Any], depth: int
) -> Iterator[tuple[dict[str, Any], Mapping[str, Any]]]:
    """Each with the properties of the feature that it belongs to."""
    if not isinstance(item, dict) or depth == 0:
        return
    kind = item.get("type")
    if kind == "FeatureCollection":
        for feature in _list(item.get("features")):
            yield from _geometries(feature, properties, depth - 1)
    elif kind == "Feature":
        own = item.get("properties")
        yield from _geometries(item.get("geometry"), own if isinstance(own, dict) else {}, depth - 1)
    elif kind == "GeometryCollection":
        for geometry in _list(item.get("geometries")):
            yield from _geometries(geometry, properties, depth - 1)
    else:
        yield item, properties


def _lines(geometry: dict[str, Any], properties: Mapping[str, Any]) -> Iterator[Points]:
    kind, coordinates, times = geometry.get("type"), _list(geometry.get("coordinates")), _times(properties)
    if kind == "LineString":
        yield _line(coordinates, times)
    elif kind == "MultiLineString":
        for number_, line in enumerate(coordinates):
            own = times[number_] if number_ < len(times) and isinstance(times[number_], list) else []
            yield _line(_list(line), own)


def _line(coordinates: list[Any], times: list[Any]) -> Points:
    """A list of times of another length belongs to something else."""
    matching = times if len(times) == len(coordinates) else []
    return [_point(one, moment(when)) for one, when in zip_longest(coordinates, matching)]


def _point(coordinates: Any, when: Any) -> GivenPoint | None:
    parts = _list(coordinates)
    position = position_of(number(parts[1]), number(parts[0])) if len(parts) >= 2 else None
    return GivenPoint(position, None, when) if position else None


def _is_point(geometry: dict[str, Any]) -> bool:
    return geometry.get("type") == "Point"


def _times(properties: Mapping[str, Any]) -> list[Any]:
    beside = properties.get("coordinateProperties")
    inner = beside.get("times") if isinstance(beside, dict) else None
    return next(
        (found for found in (inner, properties.get("coordTimes"), properties.get("times")) if isinstance(found, list)),
        [],
    )


def _time(properties: Mapping[str, Any]) -> Any:
    return moment(properties.get("time") or properties.get("timestamp"))


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
