"""A track as GPX 1.1: a segment per gap or jump, and of each fix what the schema has an element for.

`ele` is above mean sea level, as the schema wants it, with `geoidheight` beside it. Speed and course were dropped in
1.1, and errors have no place: they are in the CSV. Order of elements, words and limits are those of the schema.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from core.export_points import ExportPoint
from core.fix import FixMode
from core.formats.gpx_document import EMPTY
from core.formats.gpx_waypoints import write_waypoint, written_position
from core.formats.safe_xml import escaped, xml_text
from core.formats.track_text import About, decimal, moment

_FIX = {
    FixMode.DIFFERENTIAL: "dgps",
    FixMode.RTK_FIXED: "dgps",
    FixMode.RTK_FLOAT: "dgps",
    FixMode.PRECISE: "pps",
}
"""The schema's words (fixType); an autonomous fix is 2d or 3d."""
_BY_DIMENSIONS = {2: "2d", 3: "3d"}
MOST_STATIONS = 1023
"""dgpsStationType of the schema."""


def write_gpx(points: Iterable[ExportPoint], about: About) -> Iterator[bytes]:
    """Piece by piece, as the points come. Without a point there is no `trk`."""
    yield EMPTY[: EMPTY.rindex(b"</gpx>")]
    yield f"<metadata><name>{_text(about.title)}</name>{_desc(about.note)}</metadata>\n".encode()
    for waypoint in about.waypoints:
        yield write_waypoint(waypoint) + b"\n"
    opened = False
    for point in points:
        if not opened:
            yield f"<trk><name>{_text(about.title)}</name><trkseg>\n".encode()
        elif point.begins:
            yield b"</trkseg><trkseg>\n"
        opened = True
        yield _point(point)
    yield b"</trkseg></trk>\n</gpx>\n" if opened else b"</gpx>\n"


def _point(point: ExportPoint) -> bytes:
    latitude, longitude = written_position(point.position)
    children = "".join(
        f"<{name}>{text}</{name}>" for name, of in _CHILDREN if (text := of(point))
    )  # fmt: skip
    return b'<trkpt lat="%b" lon="%b">%b</trkpt>\n' % (latitude, longitude, children.encode())


def _fix(point: ExportPoint) -> str:
    fix = point.fix
    if fix.mode is FixMode.AUTONOMOUS:
        return _BY_DIMENSIONS.get(fix.dimensions or 0, "")
    return _FIX.get(fix.mode, "")


def _satellites(point: ExportPoint) -> str:
    count = point.fix.satellites_in_fix
    return "" if count is None else str(count)


def _station(point: ExportPoint) -> str:
    text = point.fix.correction_station or ""
    fits = text.isascii() and text.isdigit() and len(text) <= 6 and int(text) <= MOST_STATIONS
    return str(int(text)) if fits else ""


_CHILDREN: tuple[tuple[str, Callable[[ExportPoint], str]], ...] = (
    ("ele", lambda point: decimal(point.altitude_m, 4)),
    ("time", lambda point: moment(point.fix.utc)),
    ("geoidheight", lambda point: decimal(point.fix.geoid_separation_m, 4)),
    ("fix", _fix),
    ("sat", _satellites),
    ("hdop", lambda point: decimal(point.fix.hdop, 3)),
    ("vdop", lambda point: decimal(point.fix.vdop, 3)),
    ("pdop", lambda point: decimal(point.fix.pdop, 3)),
    ("ageofdgpsdata", lambda point: decimal(point.fix.correction_age_s, 3)),
    ("dgpsid", _station),
)
"""In the order of the schema."""


def _text(text: str) -> str:
    return escaped(xml_text(text))


def _desc(note: str) -> str:
    return f"<desc>{_text(note)}</desc>" if note else ""
