"""Lists of stations that are maps: waypoints of GPX 1.1, points of GeoJSON (RFC 7946). Both become a table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from core.errors import InputError
from core.formats.gpx_document import read_document
from core.formats.safe_json import parse_json
from core.station_lists.table import MOST_CELLS, MOST_ROWS, Row, Table

_GPX_HEADERS = ("latitude", "longitude", "name", "height m", "notes", "mode", "verified")
_PLACE_HEADERS = ("latitude", "longitude", "height m")


def table_of_gpx(data: bytes, name: str) -> Table:
    """A row a waypoint: its name, description, type and time. Raises InputError."""
    rows = (
        Row(
            number,
            (
                f"{one.position.latitude_deg:.9f}",
                f"{one.position.longitude_deg:.9f}",
                one.name,
                "" if one.altitude_m is None else f"{one.altitude_m:.1f}",
                one.note,
                one.kind,
                one.time.date().isoformat() if one.time else "",
            ),
        )
        for number, one in enumerate(read_document(data, name).waypoints(), 1)
    )
    return Table(_GPX_HEADERS, rows, "GPX 1.1, its waypoints")


def table_of_geojson(data: bytes, name: str) -> Table:
    """A row a feature that is a point; its properties are columns. Raises InputError."""
    root = parse_json(data, name)
    features = root.get("features") if isinstance(root, dict) else None
    points = [one for one in features if _is_point(one)] if isinstance(features, list) else []
    if not points:
        raise InputError(f"{name} holds no points: a list of stations is a FeatureCollection of points (RFC 7946)")
    if len(points) > MOST_ROWS:
        raise InputError(f"{name} has more than {MOST_ROWS:,} points: split it into several lists")
    keys = dict.fromkeys(str(key) for one in points for key in _properties(one))
    headers = (*_PLACE_HEADERS, *list(keys)[: MOST_CELLS - len(_PLACE_HEADERS)])
    return Table(headers, _rows(points, headers[len(_PLACE_HEADERS) :]), "GeoJSON, its points")


def _rows(points: list[Any], keys: tuple[str, ...]) -> Iterator[Row]:
    for number, one in enumerate(points, 1):
        coordinates = one["geometry"]["coordinates"]
        # RFC 7946 measures heights from the ellipsoid, which is not above the sea: the third figure is left out.
        longitude, latitude = (_text(part) for part in coordinates[:2])
        properties = _properties(one)
        yield Row(number, (latitude, longitude, "", *(_text(properties.get(key)) for key in keys)))


def _properties(feature: dict[str, Any]) -> dict[str, Any]:
    found = feature.get("properties")
    return found if isinstance(found, dict) else {}


def _is_point(feature: Any) -> bool:
    geometry = feature.get("geometry") if isinstance(feature, dict) else None
    coordinates = geometry.get("coordinates") if isinstance(geometry, dict) else None
    return (
        isinstance(geometry, dict)
        and geometry.get("type") == "Point"
        and isinstance(coordinates, list)
        and len(coordinates) >= 2
    )


def _text(value: Any) -> str:
    """Of what nests, nothing: it is no cell. Exponents are written out."""
    if value is None or isinstance(value, dict | list):
        return ""
    if isinstance(value, float):
        return f"{value:.12f}".rstrip("0").rstrip(".")
    return str(value).strip()
