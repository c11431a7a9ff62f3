"""A track as GeoJSON (RFC 7946): a feature per segment, cut where it crosses the antimeridian (3.1.9).

Positions are longitude, latitude and, where each point of the segment has one, the height above the WGS 84 ellipsoid
(3.1.1 and 4): never that above mean sea level, which stands in `coordinateProperties` beside the times, a value for
each position (common practice, no source). A corner that only the cut makes has the height between its neighbours and
no time: null there. A segment over a pole is drawn as the format has it, straight in degrees.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from typing import Any

from core.export_points import ExportPoint
from core.formats.spool import Spool, Vertex, by_segment
from core.formats.track_text import About, unicode_text
from core.waypoint import Waypoint

Part = tuple[Vertex, bool]
"""A corner, and whether a new part of the line begins with it."""
_DECIMALS = 9
AT_ONCE = 512
"""Values written together: one by one takes five times as long."""


def write_geojson(points: Iterable[ExportPoint], about: About) -> Iterator[bytes]:
    """Piece by piece; a segment is written when its end has come."""
    title = {"title": unicode_text(about.title), "note": unicode_text(about.note)}
    yield b'{"type":"FeatureCollection",' + _json({k: v for k, v in title.items() if v})[1:-1] + b',"features":['
    first = True
    places = ([_place(waypoint)] for waypoint in about.waypoints)
    features = by_segment(iter(points), _segment)
    for piece in chain.from_iterable([*places, features]):
        if piece.startswith(_FEATURE):
            yield b"\n" if first else b",\n"
            first = False
        yield piece
    yield b"\n]}\n"


_FEATURE = b'{"type":"Feature",'


def _segment(spool: Spool) -> Iterator[bytes]:
    if spool.count == 1:
        yield from _single(next(spool.vertices()))
        return
    parts = 1 + sum(begins for _, begins in _cut(spool.vertices()))
    kind, left, right = ("LineString", b"", b"") if parts == 1 else ("MultiLineString", b"[", b"]")
    high = spool.all_have_ellipsoidal
    yield _FEATURE + b'"geometry":{"type":"%b","coordinates":' % kind.encode() + left
    yield from _list(spool, lambda vertex: _position(vertex, vertex.ellipsoidal_m if high else None))
    yield right + b'},"properties":' + _json(_said(spool, high=high))[:-1] + b',"coordinateProperties":{"times":' + left
    yield from _list(spool, lambda vertex: vertex.time or None)
    yield right + b',"altitudes_above_mean_sea_level_m":' + left
    yield from _list(spool, lambda vertex: vertex.altitude_m)
    if not high:
        yield right + b',"heights_above_ellipsoid_m":' + left
        yield from _list(spool, lambda vertex: vertex.ellipsoidal_m)
    yield right + b"}}}"


def _list(spool: Spool, of: Callable[[Vertex], Any]) -> Iterator[bytes]:
    """One value a corner, the lists of the parts side by side."""
    values: list[Any] = []
    before = b"["
    for vertex, begins in _cut(spool.vertices()):
        if begins or len(values) >= AT_ONCE:
            yield before + _json(values)[1:-1]
            before, values = b"],[" if begins else b",", []
        values.append(of(vertex))
    yield before + _json(values)[1:-1] + b"]"


def _single(vertex: Vertex) -> Iterator[bytes]:
    """A line needs two positions (3.1.4)."""
    properties = {"time": vertex.time or None, "altitude_above_mean_sea_level_m": vertex.altitude_m}
    geometry = {"type": "Point", "coordinates": _position(vertex, vertex.ellipsoidal_m)}
    yield _FEATURE + _json({"geometry": geometry, "properties": properties})[1:]


def _said(spool: Spool, *, high: bool) -> dict[str, Any]:
    heights = "above the WGS 84 ellipsoid" if high else None
    return {"begins": spool.first_time or None, "ends": spool.last_time or None, "heights": heights}


def _position(vertex: Vertex, height_m: float | None) -> list[float]:
    place = [round(vertex.longitude_deg, _DECIMALS), round(vertex.latitude_deg, _DECIMALS)]
    return place if height_m is None else [*place, round(height_m, 4)]


def _place(waypoint: Waypoint) -> bytes:
    """No height: a waypoint's is above mean sea level, and its separation is not known."""
    latitude, longitude = waypoint.position
    properties = {
        "name": unicode_text(waypoint.name),
        "note": unicode_text(waypoint.note) or None,
        "kind": unicode_text(waypoint.kind) or None,
        "time": waypoint.time.replace(tzinfo=None).isoformat(timespec="seconds") + "Z" if waypoint.time else None,
        "altitude_above_mean_sea_level_m": waypoint.altitude_m,
        "error_95_m": waypoint.error_95_m,
        "mode": unicode_text(waypoint.mode) or None,
    }
    geometry = {"type": "Point", "coordinates": [round(longitude, _DECIMALS), round(latitude, _DECIMALS)]}
    return _FEATURE + _json({"geometry": geometry, "properties": properties})[1:]


def _cut(vertices: Iterator[Vertex]) -> Iterator[Part]:
    """With a corner on each side where the line crosses 180 degrees: a step of more than half round is one across."""
    before: Vertex | None = None
    for vertex in _sided(vertices):
        if before is not None and abs(vertex.longitude_deg - before.longitude_deg) > 180.0:
            crossing = _crossing(before, vertex)
            if abs(before.longitude_deg) != 180.0:
                yield crossing, False
            yield crossing._replace(longitude_deg=-crossing.longitude_deg), True
        yield vertex, False
        before = vertex


def _sided(vertices: Iterator[Vertex]) -> Iterator[Vertex]:
    """A place on the antimeridian has two longitudes: that of the side it was come from, the first that it goes to."""
    first = next(vertices, None)
    if first is None:
        return
    second = next(vertices, None)
    sign = second.longitude_deg if second and abs(first.longitude_deg) == 180.0 else first.longitude_deg
    for vertex in chain((first,), (second,) if second else (), vertices):
        if abs(vertex.longitude_deg) == 180.0:
            yield vertex._replace(longitude_deg=math.copysign(180.0, sign))
        else:
            sign = vertex.longitude_deg
            yield vertex


def _crossing(before: Vertex, after: Vertex) -> Vertex:
    """Where the straight line in degrees meets the antimeridian, on the side of `before`."""
    side = math.copysign(180.0, before.longitude_deg)
    way = 360.0 - abs(after.longitude_deg - before.longitude_deg)
    share = abs(side - before.longitude_deg) / way if way else 0.0
    latitude = before.latitude_deg + share * (after.latitude_deg - before.latitude_deg)
    height = None
    if before.ellipsoidal_m is not None and after.ellipsoidal_m is not None:
        height = before.ellipsoidal_m + share * (after.ellipsoidal_m - before.ellipsoidal_m)
    return Vertex(side, latitude, "", None, height, before.at_s)


def _json(value: Any) -> bytes:
    """In ASCII, so that no text can be anything but text."""
    return _ENCODER.encode(value).encode("ascii")


_ENCODER = json.JSONEncoder(separators=(",", ":"), allow_nan=False)
