"""One segment of a track, written aside until its end is known: on the disk where it is long, for the memory's sake."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable, Iterator
from datetime import date
from struct import Struct
from typing import NamedTuple

from core.export_points import ExportPoint
from core.fix import Utc
from core.formats.track_text import moment

IN_MEMORY_BYTES = 1_000_000
_RECORD = Struct("<5dii")
"""Longitude, latitude, two heights (NaN: not known), seconds, milliseconds of the day, the day's number (0: none)."""
READ_AT_ONCE = 1024


class Vertex(NamedTuple):
    """One corner of a line."""

    longitude_deg: float
    latitude_deg: float
    time: str
    """ISO 8601, empty unknown."""
    altitude_m: float | None
    ellipsoidal_m: float | None
    at_s: float


class Spool:
    """Vertices of one segment, to be read as often as need be."""

    def __init__(self) -> None:
        # Closed by `close`; in bytes, since a text stream's position, asked for at each write, is dear.
        self._stream = tempfile.SpooledTemporaryFile(IN_MEMORY_BYTES)  # noqa: SIM115
        self.count = 0
        self._first: tuple[int, int] | None = None
        self._last: tuple[int, int] | None = None
        self.all_have_ellipsoidal = True

    def add(self, point: ExportPoint) -> None:
        """The next point."""
        latitude, longitude = point.position
        altitude_m, ellipsoidal_m, utc = point.altitude_m, point.ellipsoidal_m, point.fix.utc
        time_ms, day = (utc.time_ms, utc.day.toordinal()) if utc and utc.day else (0, 0)
        self._stream.write(
            _RECORD.pack(longitude, latitude, _or_nan(altitude_m), _or_nan(ellipsoidal_m), point.at_s, time_ms, day)
        )
        self.count += 1
        if day:
            self._first = self._first or (time_ms, day)
            self._last = (time_ms, day)
        self.all_have_ellipsoidal &= ellipsoidal_m is not None

    @property
    def first_time(self) -> str:
        """The first that is known; empty where none is."""
        return _time(*self._first) if self._first else ""

    @property
    def last_time(self) -> str:
        """The last that is known."""
        return _time(*self._last) if self._last else ""

    def vertices(self) -> Iterator[Vertex]:
        """From the first on."""
        self._stream.seek(0)
        while block := self._stream.read(READ_AT_ONCE * _RECORD.size):
            for longitude, latitude, altitude_m, ellipsoidal_m, at_s, time_ms, day in _RECORD.iter_unpack(block):
                time = _time(time_ms, day) if day else ""
                yield Vertex(longitude, latitude, time, _or_none(altitude_m), _or_none(ellipsoidal_m), at_s)

    def close(self) -> None:
        """Forget them."""
        self._stream.close()


def _or_nan(value: float | None) -> float:
    return math.nan if value is None else value


def _or_none(value: float) -> float | None:
    return value if value == value else None  # noqa: PLR0124  # a call of isnan takes three times as long


def _time(time_ms: int, day: int) -> str:
    return moment(Utc(time_ms, date.fromordinal(day)))


def by_segment(points: Iterator[ExportPoint], write: Callable[[Spool], Iterator[bytes]]) -> Iterator[bytes]:
    """Write segment by segment."""
    spool: Spool | None = None
    try:
        for point in points:
            if spool is not None and point.begins:
                yield from write(spool)
                spool.close()
                spool = None
            spool = spool or Spool()
            spool.add(point)
        if spool is not None:
            yield from write(spool)
    finally:
        if spool is not None:
            spool.close()
