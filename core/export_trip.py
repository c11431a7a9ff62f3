"""The trip under way for other programs: its points as the board keeps them, without what it does not keep."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from core.errors import UsageError
from core.export_plan import Format
from core.export_points import ExportPoint
from core.exporting import WRITERS, Outcome, not_empty, watched
from core.fix import Fix, Utc
from core.formats.track_text import About
from core.samples import earth_centred
from core.steps import clock_step_s
from core.track import TrackView


def export_trip(track: TrackView, to: Format, about: About, outcome: Outcome) -> Iterator[bytes]:
    """Piece by piece. Raises InputError for a track without a point, UsageError for NMEA: it has no sentences."""
    if to is Format.NMEA:
        raise UsageError("a trip is points, not sentences: r records those")
    yield from WRITERS[to](not_empty(watched(_points(track), outcome), outcome), about)


def _points(track: TrackView) -> Iterator[ExportPoint]:
    """Arrivals of points that were read from a file are not known: their own times say how far apart they are."""
    at_s, before = 0.0, None
    for point in islice(track.points, track.count):
        at_s += _step_s(before, point.utc)
        before = point.utc
        fix = Fix(point.utc, point.position, altitude_m=point.altitude_m)
        yield ExportPoint(point.position, fix, at_s, earth_centred(point.position), point.begins)


def _step_s(before: Utc | None, after: Utc | None) -> float:
    return clock_step_s(before, after) if before and after else 0.0
