"""The user's places for other programs. KML and GeoJSON take them beside a track; a table of them stands alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from core.formats.track_csv import guarded, row
from core.formats.track_text import decimal
from core.waypoint import Waypoint

HEADER = (
    "name", "latitude_deg", "longitude_deg", "altitude_above_mean_sea_level_m", "time_utc", "kind", "note",
    "error_95_m", "mode",
)  # fmt: skip


def write_waypoint_csv(waypoints: Iterable[Waypoint]) -> Iterator[bytes]:
    """A line each (RFC 4180); line feeds in a note stay, in quotes."""
    yield row(HEADER)
    for one in waypoints:
        time = one.time.replace(tzinfo=None).isoformat(timespec="seconds") + "Z" if one.time else ""
        yield row(
            [
                guarded(one.name),
                f"{one.position.latitude_deg:.9f}",
                f"{one.position.longitude_deg:.9f}",
                decimal(one.altitude_m, 2),
                time,
                guarded(one.kind),
                guarded(one.note),
                decimal(one.error_95_m, 3),
                guarded(one.mode),
            ]
        )
