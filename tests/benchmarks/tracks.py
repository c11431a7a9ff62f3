"""A million points as GPX, KML, GeoJSON and CSV, beside writing and reading the same GPX with gpxpy.

Run from the project's folder: `python -m tests.benchmarks.tracks [POINTS]` (a million by default; gpxpy needs some two
gigabytes for them). The points are invented: a walker at 1 Hz with heights and times, and with the figures of quality
that GPX has an element for (full) or without (plain); gpxpy is given the same elements. Processor time counts, of the
writing only on both sides: the points are made before, a hundred thousand that are given again and again; gpxpy's are
counted with their making, since it cannot write without. Each side runs in a process of its own, so that its peak of
memory is its own. What is read is the plain file, up to the 64 MB that we take; it is cut for both.
"""

from __future__ import annotations

import math
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import cycle, islice
from pathlib import Path
from time import process_time
from typing import TYPE_CHECKING

from core.export_plan import Format
from core.export_points import ExportPoint
from core.exporting import WRITERS
from core.fix import Fix, FixMode, Position, Utc
from core.formats.track_text import About

if TYPE_CHECKING:
    import gpxpy.gpx

MADE = 100_000
READ = 400_000
"""As many as a file of 64 MB holds."""
DAY = date(2031, 5, 4)
SIDES = ("gpxpy", "gpx", "gpxpy plain", "gpx plain", "kml", "geojson", "csv", "gpxpy reads", "gpx read")


def place(number: int) -> Position:
    """On a circle of two kilometres in open ocean."""
    angle = number / 3600 * 2 * math.pi
    return Position(10.5 + math.sin(angle) / 60, -20.25 + math.cos(angle) / 60)


def fix(number: int, *, full: bool) -> Fix:
    """One second of it."""
    height_m = 12.5 + number % 100 / 10
    if not full:
        return Fix(Utc(number * 1000 % 86_400_000, DAY), place(number), FixMode.NONE, altitude_m=height_m)
    return Fix(
        Utc(number * 1000 % 86_400_000, DAY), place(number), FixMode.AUTONOMOUS, 3, height_m, 30.0, 3.2, 91.0,
        used=("G01", "G02", "G03", "G04", "G05"), stated_in_fix=5, pdop=2.0, hdop=1.0, vdop=1.7,
    )  # fmt: skip


def points(count: int, *, full: bool) -> Iterator[ExportPoint]:
    """As an export hands them over."""
    fixes = [fix(number, full=full) for number in range(min(count, MADE))]
    made = (ExportPoint(place(n), one, float(n), (0.0, 0.0, 0.0), n == 0) for n, one in enumerate(fixes))
    return islice(cycle([*made]), count)


def ours(to: Format, count: int, *, full: bool) -> int:
    """Bytes of it."""
    found = points(count, full=full)
    begun = process_time()
    size = sum(map(len, WRITERS[to](found, About("day"))))
    _say(size, begun)
    return size


def theirs(count: int, *, full: bool) -> None:
    """The same elements by gpxpy."""
    from gpxpy.gpx import GPX, GPXTrack, GPXTrackSegment

    begun = process_time()
    document, track, segment = GPX(), GPXTrack("day"), GPXTrackSegment()
    document.tracks.append(track)
    track.segments.append(segment)
    segment.points.extend(_their_point(number, full=full) for number in range(count))
    _say(len(document.to_xml().encode()), begun)


def _their_point(number: int, *, full: bool) -> gpxpy.gpx.GPXTrackPoint:
    from gpxpy.gpx import GPXTrackPoint

    latitude, longitude = place(number)
    time = datetime(2031, 5, 4, tzinfo=UTC) + timedelta(seconds=number)
    point = GPXTrackPoint(latitude, longitude, 12.5 + number % 100 / 10, time)
    if full:
        point.geoid_height, point.type_of_gpx_fix, point.satellites = 30.0, "3d", 5
        point.horizontal_dilution, point.vertical_dilution, point.position_dilution = 1.0, 1.7, 2.0
    return point


def they_read(path: Path) -> None:
    """By `gpxpy.parse`."""
    import gpxpy

    begun = process_time()
    document = gpxpy.parse(path.read_text("utf-8"))
    _say(document.get_track_points_no(), begun)


def we_read(path: Path) -> None:
    """As a track to be played."""
    from core.formats.given_track import read_track

    begun = process_time()
    _say(len(read_track(path).points), begun)


def _say(count: int, begun: float) -> None:
    """Bytes or points, seconds, peak in kB (as Linux counts it)."""
    print(count, process_time() - begun, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)


def side(name: str, count: int, path: Path) -> None:
    """In a process of its own."""
    sides: dict[str, Callable[[], object]] = {
        "gpxpy": lambda: theirs(count, full=True),
        "gpx": lambda: ours(Format.GPX, count, full=True),
        "gpxpy plain": lambda: theirs(count, full=False),
        "gpx plain": lambda: ours(Format.GPX, count, full=False),
        "kml": lambda: ours(Format.KML, count, full=True),
        "geojson": lambda: ours(Format.GEOJSON, count, full=True),
        "csv": lambda: ours(Format.CSV, count, full=True),
        "gpxpy reads": lambda: they_read(path),
        "gpx read": lambda: we_read(path),
    }
    sides[name]()


def main(count: int, names: list[str]) -> None:
    """Print seconds, ratios to gpxpy's and memory."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plain.gpx"
        with path.open("wb") as stream:
            stream.writelines(WRITERS[Format.GPX](points(min(count, READ), full=False), About("day")))
        base_s = 0.0
        for name in names or SIDES:
            command = [sys.executable, "-m", "tests.benchmarks.tracks", "--side", name, str(count), str(path)]
            found = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
            taken_s, peak_mb = float(found[1]), int(found[2]) / 1024
            base_s = taken_s if name.startswith("gpxpy") else base_s
            ratio = f"{base_s / taken_s:6.1f} times gpxpy's speed" if base_s else ""
            print(f"{name:12} {int(found[0]):12,} {taken_s:8.2f} s  {peak_mb:7.0f} MB  {ratio}", flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--side"]:
        side(sys.argv[2], int(sys.argv[3]), Path(sys.argv[4]))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000, sys.argv[2:])
