"""One segment of a track, written aside until its end is known: on the disk where it is long, for the memory's sake."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable, Iterator
from typing import NamedTuple

from core.export_points import ExportPoint
from core.formats.track_text import moment

IN_MEMORY_BYTES = 1_000_000


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
        self.first_time = self.last_time = ""
        self.all_have_ellipsoidal = True

    def add(self, point: ExportPoint) -> None:
        """The next point."""
        latitude, longitude = point.position
        vertex = Vertex(longitude, latitude, moment(point.fix.utc), point.altitude_m, point.ellipsoidal_m, point.at_s)
        self._stream.write(json.dumps(vertex).encode("ascii") + b"\n")
        self.count += 1
        self.first_time = self.first_time or vertex.time
        self.last_time = vertex.time or self.last_time
        self.all_have_ellipsoidal &= vertex.ellipsoidal_m is not None

    def vertices(self) -> Iterator[Vertex]:
        """From the first on."""
        self._stream.seek(0)
        for line in self._stream:
            yield Vertex(*json.loads(line))

    def close(self) -> None:
        """Forget them."""
        self._stream.close()


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
