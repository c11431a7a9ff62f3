"""A track as KML 2.2 (OGC 07-147r2), nothing of anybody's extension in it.

A folder per segment: a line with the span of its time, and placemarks with the time at its ends and every minute
between, or at every point where the points were asked for at a distance. A time on each point of a day would be
86,400 placemarks. Heights are `absolute`, which KML counts above mean sea level; a part without heights lies on the
ground.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from core.export_points import ExportPoint
from core.formats.safe_xml import escaped, xml_text
from core.formats.spool import Spool, Vertex, by_segment
from core.formats.track_text import About, decimal
from core.waypoint import Waypoint

_HEAD = """<?xml version="1.0" encoding="UTF-8"?>
<kml xmlns="http://www.opengis.net/kml/2.2">
<Document><name>{name}</name>{note}
<Style id="trail"><LineStyle><color>ff0055ff</color><width>3</width></LineStyle></Style>
<Style id="moment"><IconStyle><scale>0.4</scale></IconStyle><LabelStyle><scale>0</scale></LabelStyle></Style>
"""
"""Colours are aabbggrr: an orange that shows on land and sea. Labels of moments would hide the trail."""


def write_kml(points: Iterable[ExportPoint], about: About) -> Iterator[bytes]:
    """Piece by piece; a segment is written when its end has come."""
    yield _HEAD.format(name=_text(about.title), note=_described(about.note)).encode()
    if about.waypoints:
        yield b"<Folder><name>Places</name>\n"
        yield from (_place(waypoint) for waypoint in about.waypoints)
        yield b"</Folder>\n"
    yield from by_segment(iter(points), lambda spool: _segment(spool, about))
    yield b"</Document>\n</kml>\n"


def _segment(spool: Spool, about: About) -> Iterator[bytes]:
    yield f"<Folder><name>{_named_span(spool)}</name>\n".encode()
    if spool.count > 1:
        yield from _line(spool)
    for vertex in _stamped(spool, about.stamp_every_s):
        yield _moment(vertex).encode()
    yield b"</Folder>\n"


def _line(spool: Spool) -> Iterator[bytes]:
    yield f"<Placemark><name>{_named_span(spool)}</name>{_span(spool)}<styleUrl>#trail</styleUrl>\n".encode()
    yield b"<MultiGeometry>\n"
    yield from map(str.encode, _runs(spool.vertices()))
    yield b"</MultiGeometry></Placemark>\n"


def _runs(vertices: Iterator[Vertex]) -> Iterator[str]:
    """A line for each run of points with a height or without: in KML a line has one way to count heights.

    Those on the ground reach from the run before to the one after, so that nothing looks like a gap that is none.
    """
    run: _Run | None = None
    before: Vertex | None = None
    for vertex in vertices:
        high = vertex.altitude_m is not None
        if run is None or run.high != high:
            if run is not None:
                yield from run.end(None if run.high else vertex)
            run = _Run(high, None if high else before)
        yield from run.add(vertex)
        before = vertex
    if run is not None:
        yield from run.end(None)


class _Run:
    """One line, written as its points come; of a single point with a height there is none: two make a line."""

    def __init__(self, high: bool, reaching_from: Vertex | None) -> None:
        self.high = high
        self._first = reaching_from
        self._is_open = False

    def add(self, vertex: Vertex) -> Iterator[str]:
        if self._first is None:
            self._first = vertex
            return
        if not self._is_open:
            self._is_open = True
            yield f"<LineString>{_mode(high=self.high)}<coordinates>\n{self._corner(self._first)}\n"
        yield f"{self._corner(vertex)}\n"

    def end(self, reaching_to: Vertex | None) -> Iterator[str]:
        if reaching_to is not None:
            yield from self.add(reaching_to)
        if self._is_open:
            yield "</coordinates></LineString>\n"

    def _corner(self, vertex: Vertex) -> str:
        return _coordinates(vertex, vertex.altitude_m if self.high else None)


def _stamped(spool: Spool, every_s: float) -> Iterator[Vertex]:
    """First, last, and those between that are far enough apart; all where there is but one."""
    last_s: float | None = None
    for number, vertex in enumerate(spool.vertices(), 1):
        if last_s is None or number == spool.count or vertex.at_s - last_s >= every_s:
            last_s = vertex.at_s
            yield vertex


def _moment(vertex: Vertex) -> str:
    stamp = f"<TimeStamp><when>{vertex.time}</when></TimeStamp>" if vertex.time else ""
    name = f"<name>{vertex.time or 'time unknown'}</name>"
    return f"<Placemark>{name}{stamp}<styleUrl>#moment</styleUrl>{_point(vertex)}</Placemark>\n"


def _point(vertex: Vertex) -> str:
    high = vertex.altitude_m is not None
    return f"<Point>{_mode(high=high)}<coordinates>{_coordinates(vertex, vertex.altitude_m)}</coordinates></Point>"


def _mode(*, high: bool) -> str:
    return f"<altitudeMode>{'absolute' if high else 'clampToGround'}</altitudeMode>"


def _coordinates(vertex: Vertex, altitude_m: float | None) -> str:
    """Longitude first. Nine decimals are 0.1 mm."""
    height = f",{decimal(altitude_m, 4)}" if altitude_m is not None else ""
    return f"{decimal(vertex.longitude_deg, 9)},{decimal(vertex.latitude_deg, 9)}{height}"


def _named_span(spool: Spool) -> str:
    return f"{spool.first_time} to {spool.last_time}" if spool.first_time else "time unknown"


def _span(spool: Spool) -> str:
    if not spool.first_time:
        return ""
    return f"<TimeSpan><begin>{spool.first_time}</begin><end>{spool.last_time}</end></TimeSpan>"


def _place(waypoint: Waypoint) -> bytes:
    """A waypoint; its kind has no element of its own, so it stands in the extended data."""
    latitude, longitude = waypoint.position
    time = waypoint.time.replace(tzinfo=None).isoformat(timespec="seconds") + "Z" if waypoint.time else ""
    stamp = f"<TimeStamp><when>{time}</when></TimeStamp>" if time else ""
    kind = f'<ExtendedData><Data name="kind"><value>{_text(waypoint.kind)}</value></Data></ExtendedData>'
    vertex = Vertex(longitude, latitude, time, waypoint.altitude_m, None, 0.0)
    name, more = _text(waypoint.name), kind if waypoint.kind else ""
    parts = f"<name>{name}</name>{_described(waypoint.note)}{stamp}{more}{_point(vertex)}"
    return f"<Placemark>{parts}</Placemark>\n".encode()


def _described(text: str) -> str:
    """Programs show descriptions as HTML: escaped once more, what looks like markup stays text there too."""
    return f"<description>{escaped(escaped(xml_text(text)))}</description>" if text else ""


def _text(text: str) -> str:
    return escaped(xml_text(text))
