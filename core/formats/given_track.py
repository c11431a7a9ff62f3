"""A track that somebody else wrote, as GPX, KML or GeoJSON: positions, perhaps times and heights, no quality."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from core.errors import InputError
from core.fix import Position
from core.plain_files import read_plain

LOOKED_AT_BYTES = 4096
BIGGEST_BYTES = 64 * 1024 * 1024
MOST_POINTS = 1_000_000
HIGHEST_M = 100_000.0
_XML = re.compile(rb"<(?:[A-Za-z_][\w.-]*:)?(gpx|kml)[\s>]")
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


class GivenPoint(NamedTuple):
    """One point."""

    position: Position
    altitude_m: float | None = None
    """Above mean sea level; None where the file gives none, or gives it above the ellipsoid or the ground."""
    time: datetime | None = None
    """Aware, UTC."""
    begins: bool = False
    """The first of a segment: the way there from the point before is not known."""


class GivenTrack(NamedTuple):
    """All of a file."""

    points: tuple[GivenPoint, ...]
    """At least two, in the order of the file; the first begins a segment."""
    left_out: int = 0
    """Points without a place on the globe."""

    @property
    def timed(self) -> bool:
        """Whether every point has a time."""
        return all(one.time is not None for one in self.points)


def is_track(path: Path) -> bool:
    """Whether a file is one of these, by what it begins with, whatever it is called; False where it cannot be read."""
    try:
        begun = read_plain(path, LOOKED_AT_BYTES)
    except OSError:
        return False
    return kind_of(begun) is not None


def kind_of(begun: bytes) -> str | None:
    """`gpx`, `kml`, `geojson`, or None for anything else, by the first bytes of a file."""
    if begun.startswith(_UTF16):
        begun = begun.decode("utf-16", "ignore").encode()
    text = begun.removeprefix(b"\xef\xbb\xbf").lstrip()
    if text.startswith(b"{"):
        return "geojson" if b'"type"' in text or b'"coordinates"' in text else None
    found = _XML.search(text) if text.startswith(b"<") else None
    return found[1].decode() if found else None


def read_track(path: Path) -> GivenTrack:
    """The track of a file. Raises InputError saying what is wrong and what to do."""
    data = _bytes_of(path)
    kind = kind_of(data[:LOOKED_AT_BYTES])
    if kind is None:
        raise InputError(f"{path} is no GPX, KML or GeoJSON: a compressed one must be unpacked first")
    found = list(_reader(kind)(data, str(path)))
    if len(found) > MOST_POINTS:
        raise InputError(f"{path} holds more than {MOST_POINTS:,} points: split it")
    sound = _without_corners([one for one in found if one is not None])
    if len(sound) < 2:
        raise InputError(f"{path} holds no track: it needs two points of a track, route or line at least")
    return GivenTrack((sound[0]._replace(begins=True), *sound[1:]), len(found) - len(sound))


def _without_corners(points: list[GivenPoint]) -> list[GivenPoint]:
    """Where a way is cut at the antimeridian, the cut adds a corner that nobody measured: it alone has no time."""
    if not any(one.time for one in points):
        return points
    return [one for one in points if one.time is not None or abs(one.position.longitude_deg) < 180.0]


def _reader(kind: str) -> Callable[[bytes, str], Iterable[GivenPoint | None]]:
    """Imported when a track is read: a recording needs none of it."""
    from core.formats.geojson_track_in import geojson_points
    from core.formats.gpx_track_in import gpx_points
    from core.formats.kml_track_in import kml_points

    return {"gpx": gpx_points, "kml": kml_points, "geojson": geojson_points}[kind]


def _bytes_of(path: Path) -> bytes:
    try:
        data = read_plain(path, BIGGEST_BYTES)
    except OSError as error:
        raise InputError(f"{path} cannot be read ({error.strerror or error}): check the name") from error
    if len(data) > BIGGEST_BYTES:
        raise InputError(f"{path} is larger than {BIGGEST_BYTES // 1024**2} MB: split it")
    return data


# For the readers


def position_of(latitude_deg: float | None, longitude_deg: float | None) -> Position | None:
    """None for what is no place on the globe."""
    if latitude_deg is None or longitude_deg is None:
        return None
    on_it = -90.0 <= latitude_deg <= 90.0 and -180.0 <= longitude_deg <= 180.0  # False for NaN too
    return Position(latitude_deg, longitude_deg) if on_it else None


def number(text: object) -> float | None:
    """A finite number, of a number or of plain text; Python's underscores and other digits are none."""
    if isinstance(text, str) and (not text.isascii() or "_" in text):
        return None
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        return None
    try:
        value = float(text)
    except (ValueError, OverflowError):
        return None
    return value if math.isfinite(value) else None


def height(text: object) -> float | None:
    """A height that can be one, metres."""
    value = number(text)
    return value if value is not None and abs(value) <= HIGHEST_M else None


def moment(text: object) -> datetime | None:
    """An ISO 8601 instant in UTC; one without a zone is taken for UTC."""
    try:
        found = datetime.fromisoformat(text.strip()) if isinstance(text, str) else None
        if found is None:
            return None
        if found.tzinfo is UTC:
            return found
        return found.replace(tzinfo=UTC) if found.tzinfo is None else found.astimezone(UTC)
    except (ValueError, OverflowError):  # a zone may lead out of the calendar
        return None


def joined(segments: Iterable[Iterable[GivenPoint | None]]) -> Iterator[GivenPoint | None]:
    """Segments one after the other; those that were only cut at the antimeridian go on across it (RFC 7946, 3.1.9)."""
    last: GivenPoint | None = None
    for segment in segments:
        begins = True
        for point in segment:
            if point is None:
                yield None
                continue
            if begins and last is not None and _is_cut(last.position, point.position):
                begins = False
                continue
            yield point if point.begins is begins else point._replace(begins=begins)
            begins, last = False, point


def _is_cut(a: Position, b: Position) -> bool:
    same_latitude = abs(a.latitude_deg - b.latitude_deg) < 1e-6
    return same_latitude and abs(a.longitude_deg) == abs(b.longitude_deg) == 180.0 and a != b
