"""The trip on the disk, so that a crash or a dead battery ends neither its track nor its totals.

    trip.csv            the track, a line a point, appended as it grows (RFC 4180, header with units)
    trip.DATE.csv       tracks before a reset, by the time of their first point; never written to again
    trip.json           the totals, replaced as a whole; what cannot be read is set aside as trip.json.unreadable

A torn last line, which a crash may leave, is passed over, as is whatever else is no point.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from core.appended import append_lines, move_away
from core.fix import Position, Utc
from core.kept_files import kept_lines, kept_object
from core.places.found import height_m
from core.storage import replace_file
from core.track import TrackPoint

HEADER = "utc,latitude_deg,longitude_deg,altitude_m,begins"
FIELDS = 5
LARGEST = 4_000_000
"""Bytes of the totals: many times those of as many legs as there may be."""
MOST_POINTS = 500_000
"""Of a file: eleven days at a point every two seconds. What is older is left on the disk, not read."""


class TripFile:
    """Files of one trip in one folder."""

    def __init__(self, folder: Path) -> None:
        self._track = folder / "trip.csv"
        self._totals = folder / "trip.json"

    def append(self, points: Sequence[TrackPoint]) -> None:
        """Add to the track, on the disk when this returns. Raises InputError where that fails."""
        append_lines(self._track, HEADER, "".join(map(_line, points)))

    def rewrite(self, points: Iterable[TrackPoint]) -> None:
        """The whole track anew. Raises InputError."""
        replace_file(self._track, f"{HEADER}\n{''.join(map(_line, points))}".encode())

    def save_totals(self, state: dict[str, Any]) -> None:
        """Raises InputError."""
        replace_file(self._totals, json.dumps(state).encode())

    @property
    def track(self) -> Path:
        """The file of the track."""
        return self._track

    def set_aside(self) -> str:
        """A new trip: the track of the last one stays as it is, under another name, which is returned; empty for none.

        Raises InputError.
        """
        return move_away(self._track, f"trip.{_stamp(self.points()[:1])}.csv")

    def points(self, name: str = "") -> list[TrackPoint]:
        """What can be read of the track, or of one that was set aside: lines that are no points are passed over."""
        return [point for point in map(_point, kept_lines(self._track, name, MOST_POINTS)) if point is not None]

    def totals(self) -> dict[str, Any] | None:
        """The kept totals; None where there are none. Raises InputError where they cannot be read."""
        return kept_object(self._totals, LARGEST, "totals")

    def set_totals_aside(self) -> str:
        """Out of the way of new ones, for whoever can mend them; the name that they have now. Raises InputError."""
        return move_away(self._totals, "trip.json.unreadable")


def _stamp(first: list[TrackPoint]) -> str:
    moment = first[0].utc.datetime() if first and first[0].utc else None
    return f"{moment:%Y%m%d-%H%M%S}" if moment else "undated"


def _line(point: TrackPoint) -> str:
    moment = point.utc.datetime() if point.utc else None
    utc = moment.isoformat(timespec="milliseconds").replace("+00:00", "Z") if moment else ""
    height = "" if point.altitude_m is None else f"{point.altitude_m:.2f}"
    latitude, longitude = point.position
    return f"{utc},{latitude:.9f},{longitude:.9f},{height},{int(point.begins)}\n"


def _point(line: str) -> TrackPoint | None:
    fields = line.strip().split(",")
    if len(fields) != FIELDS or fields[-1] not in {"0", "1"} or not line.endswith("\n"):
        return None
    try:
        position = Position(float(fields[1]), float(fields[2]))
        height = height_m(fields[3]) if fields[3] else None
        utc = _utc(fields[0])
    except (ValueError, OverflowError):
        return None
    usable = abs(position.latitude_deg) <= 90.0 and abs(position.longitude_deg) <= 180.0
    return TrackPoint(position, 0.0, utc, height, fields[4] != "0") if usable else None


def _utc(text: str) -> Utc | None:
    if not text:
        return None
    found = datetime.fromisoformat(text)
    # Whoever edits the file by hand may leave out the Z: it says `utc` above the column.
    moment = found.replace(tzinfo=UTC) if found.tzinfo is None else found.astimezone(UTC)
    midnight = moment.replace(hour=0, minute=0, second=0, microsecond=0)
    return Utc(int((moment - midnight).total_seconds() * 1000), moment.date())
