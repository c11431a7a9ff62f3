"""A track as GPX 1.1: a segment per gap or jump, and of each fix what the schema has an element for.

`ele` is above mean sea level, as the schema wants it, with `geoidheight` beside it. Speed and course were dropped in
1.1, and errors have no place: they are in the CSV. Order of elements, words and limits are those of the schema.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache

from core.export_points import ExportPoint
from core.fix import FixMode, Position
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
    fix = point.fix
    time = moment(fix.utc)
    time = f"<time>{time}</time>" if time else ""
    quality = _quality(
        fix.geoid_separation_m,
        (_fix(fix.mode, fix.dimensions), fix.satellites_in_fix),
        (fix.hdop, fix.vdop, fix.pdop),
        (fix.correction_age_s, fix.correction_station),
    )
    return f"<trkpt {_place(point.position)}>{_height(point.altitude_m)}{time}{quality}</trkpt>\n".encode()


def _place(position: Position) -> str:
    """At once where no rule of the schema is near; as for a waypoint where one is."""
    latitude, longitude = position
    if -90.0 <= latitude <= 90.0 and -180.0 <= longitude <= 179.9:
        return f'lat="{latitude:.9f}" lon="{longitude:.9f}"'
    written = written_position(position)
    return f'lat="{written[0].decode()}" lon="{written[1].decode()}"'


@lru_cache(maxsize=4096)
def _height(height_m: float | None) -> str:
    return _child("ele", decimal(height_m, 4))


def _child(name: str, text: str) -> str:
    return f"<{name}>{text}</{name}>" if text else ""


@lru_cache(maxsize=1024)
def _quality(
    separation_m: float | None,
    kind: tuple[str, int | None],
    dilutions: tuple[float | None, ...],
    correction: tuple[float | None, str | None],
) -> str:
    """What comes after height and time: of one point mostly what it was of the point before."""
    hdop, vdop, pdop = (decimal(one, 3) for one in dilutions)
    (fix, satellites), (age_s, station) = kind, correction
    children = (
        ("geoidheight", decimal(separation_m, 4)),
        ("fix", fix),
        ("sat", "" if satellites is None else str(satellites)),
        ("hdop", hdop),
        ("vdop", vdop),
        ("pdop", pdop),
        ("ageofdgpsdata", decimal(age_s, 3)),
        ("dgpsid", _station(station or "")),
    )
    return "".join(_child(*one) for one in children)


def _fix(mode: FixMode, dimensions: int | None) -> str:
    if mode is FixMode.AUTONOMOUS:
        return _BY_DIMENSIONS.get(dimensions or 0, "")
    return _FIX.get(mode, "")


def _station(text: str) -> str:
    fits = text.isascii() and text.isdigit() and len(text) <= 6 and int(text) <= MOST_STATIONS
    return str(int(text)) if fits else ""


def _text(text: str) -> str:
    return escaped(xml_text(text))


def _desc(note: str) -> str:
    return f"<desc>{_text(note)}</desc>" if note else ""
