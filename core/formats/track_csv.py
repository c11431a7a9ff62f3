"""A track as a table (RFC 4180): everything that is known of each fix, units in the header, empty where unknown."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator

from core.export_points import ExportPoint
from core.formats.track_text import About, mode_word, repeated, unicode_text

Column = tuple[str, Callable[[ExportPoint], str]]
COLUMNS: tuple[Column, ...] = (
    ("utc", lambda point: point.fix.utc.iso() if point.fix.utc else ""),
    ("latitude_deg", lambda point: f"{point.position.latitude_deg:.9f}"),
    ("longitude_deg", lambda point: f"{point.position.longitude_deg:.9f}"),
    ("altitude_above_mean_sea_level_m", lambda point: repeated(point.altitude_m, 4)),
    ("height_above_ellipsoid_m", lambda point: repeated(point.ellipsoidal_m, 4)),
    ("geoid_separation_m", lambda point: repeated(point.fix.geoid_separation_m, 4)),
    ("speed_mps", lambda point: repeated(point.fix.speed_mps, 4)),
    ("course_true_deg", lambda point: repeated(point.fix.course_deg, 3)),
    ("mode", lambda point: mode_word(point.fix.mode)),
    ("dimensions", lambda point: _whole(point.fix.dimensions)),
    ("satellites_in_fix", lambda point: _whole(point.fix.satellites_in_fix)),
    ("hdop", lambda point: repeated(point.fix.hdop, 3)),
    ("vdop", lambda point: repeated(point.fix.vdop, 3)),
    ("pdop", lambda point: repeated(point.fix.pdop, 3)),
    ("correction_age_s", lambda point: repeated(point.fix.correction_age_s, 3)),
    ("error_95_horizontal_m", lambda point: repeated(point.error.horizontal_m if point.error else None, 2)),
    ("error_95_vertical_m", lambda point: repeated(point.error.vertical_m if point.error else None, 2)),
    ("verdict", lambda point: point.verdict.words if point.verdict is not None else ""),
)
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
"""With these a spreadsheet takes a cell for a formula (common practice, no source)."""


def write_csv(points: Iterable[ExportPoint], _about: About) -> Iterator[bytes]:
    """A line a point. `segment` counts from 1: nothing is known of the way from one to the next."""
    yield row(["segment", *(name for name, _ in COLUMNS)])
    segment = 0
    for number, point in enumerate(points):
        segment += point.begins or number == 0
        yield row([str(segment), *(of(point) for _, of in COLUMNS)])


def row(cells: Iterable[str]) -> bytes:
    """One line, quoted where need be."""
    line: bytes = _WRITER.writerow(cells)  # whatever the stream's `write` returns
    return line


class _Line:
    """A stream that hands back what is written: to make one for every line takes longer than to write the line."""

    def write(self, text: str) -> bytes:
        """Nothing is kept."""
        return text.encode("utf-8")


_WRITER = csv.writer(_Line(), lineterminator="\r\n")


def guarded(text: str) -> str:
    """Somebody's words as a cell that no spreadsheet takes for a formula: an apostrophe before what could be one."""
    text = unicode_text(text).replace("\0", "\ufffd")
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA) else text


def _whole(value: int | None) -> str:
    return "" if value is None else str(value)
