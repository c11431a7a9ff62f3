"""Rows of changes to files that grow: tracks, averagings, recordings. All places and names are invented."""

from __future__ import annotations

import gzip
import weakref
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

from core.fix import FixMode, Position, Utc
from core.logbook_files import RealFiles
from core.site_file import SiteFile
from core.site_session import Counted
from core.track import TrackPoint
from core.trip_file import TripFile
from tests.faults.storage_rows import OLDEST_KEPT, Step, in_a_row, next_of, numbered, page, page_number, thin
from tests.sites import DAY
from tests.wire import burst

# Files that grow


def _point(number: int) -> TrackPoint:
    return TrackPoint(Position(10.5, number * 1e-6), 0.0, Utc(number % 86_400 * 1000, DAY), 2.5, begins=number == 0)


def track(folder: Path, first: int) -> Step:
    file = TripFile(folder)
    del first
    return lambda number: file.append([_point(number)])


def rewritten(folder: Path, first: int) -> Step:
    file = TripFile(folder)
    del first
    return lambda number: file.rewrite(map(_point, range(max(0, number - 300), number + 1)))


def _numbers(points: Iterable[TrackPoint]) -> list[int]:
    return [round(point.position.longitude_deg * 1e6) for point in points]


def track_kept(folder: Path, _: int) -> int:
    return in_a_row(_numbers(TripFile(folder).points()))


def tracks_aside(folder: Path, first: int) -> Step:
    """A point, and a reset after it, each a change."""
    file = TripFile(folder)
    del first

    def step(number: int) -> None:
        if not any(number in _numbers(file.points(path.name)) for path in folder.glob("trip*.csv")):
            file.append([_point(number)])
        file.set_aside()
        kept = sorted((path for path in folder.glob("trip.*.csv")), key=lambda path: path.stat().st_mtime_ns)
        for path in kept[:-OLDEST_KEPT]:
            path.unlink()

    return step


def tracks_aside_kept(folder: Path, acknowledged: int) -> int:
    found = sorted(n for path in folder.glob("trip*.csv") for n in _numbers(TripFile(folder).points(path.name)))
    count = in_a_row(found)
    under_way = bool(TripFile(folder).points())
    return max(acknowledged, count - 1) if under_way else count


def _fix(number: int) -> Counted:
    return Counted(float(number), Utc(43_200_000, DAY), Position(1, 2), 3.0, None, FixMode.AUTONOMOUS, 7.0, "W84")


def site(folder: Path, first: int) -> Step:
    file = SiteFile(folder)
    del first
    return lambda number: file.append([_fix(number)])


def site_kept(folder: Path, _: int) -> int:
    found = SiteFile(folder).counted()
    assert all(one.datum == "W84" for one in found)
    return in_a_row([round(one.t_s) for one in found])


def sites_ended(folder: Path, first: int) -> Step:
    file = SiteFile(folder)
    del first

    def step(number: int) -> None:
        if [one.t_s for one in file.counted()] != [float(number)]:
            file.append([_fix(number)])
        file.end()
        kept = sorted(folder.glob("averaging.*.csv"), key=lambda path: path.stat().st_mtime_ns)
        for path in kept[:-OLDEST_KEPT]:
            path.unlink()

    return step


def sites_ended_kept(folder: Path, acknowledged: int) -> int:
    file = SiteFile(folder)
    found = sorted(round(one.t_s) for path in folder.glob("averaging*.csv") for one in file.counted(path.name))
    count = in_a_row(found)
    return max(acknowledged, count - 1) if file.counted() else count


def recording(folder: Path, first: int) -> Step:
    """As the recorder does, with a sync after each piece, since that is what it promises."""
    recordings = folder / "recordings"
    names = (recordings / f"{first:08d}.{ending}.nmea" for ending in range(9999))
    file = RealFiles().create(next(name for name in names if not name.exists()))

    def step(number: int) -> None:
        file.write(burst(number))
        file.sync()

    weakref.finalize(step, file.close)
    return step


def recording_kept(folder: Path, _: int) -> int:
    """Each file holds its row from its own number on; the last burst may be cut."""
    count = 0
    for number, path in numbered(folder / "recordings", "*.nmea"):
        data, here = path.read_bytes(), 0  # several files of one number: all but one are empty, or cut in its first
        assert number <= count, "where the one before ended"
        while data.startswith(burst(number + here)):
            data = data[len(burst(number + here)) :]
            here += 1
        assert burst(number + here).startswith(data), "a cut end, and nothing else"
        count = max(count, number + here)
    return count


def packed(folder: Path, first: int) -> Step:
    files = RealFiles()
    recordings = folder / "recordings"
    del first

    def step(number: int) -> None:
        path = recordings / f"{number:08d}.nmea"
        if path.exists() and path.read_bytes() != page(number):
            path.unlink()
        if not path.exists():
            with closing(files.create(path)) as file:
                file.write(page(number))
                file.sync()
        files.compress(path)
        thin(numbered(recordings, "*.nmea.gz"))

    return step


def packed_kept(folder: Path, acknowledged: int) -> int:
    plain = numbered(folder / "recordings", "*.nmea")
    packed = numbered(folder / "recordings", "*.nmea.gz")
    assert all(page_number(gzip.decompress(path.read_bytes()), path.name) == number for number, path in packed)
    for number, path in plain:
        # Of one whose compression was broken off both may be there: the logbook shows it once.
        assert number == acknowledged or page_number(path.read_bytes(), path.name) == number
    return next_of(number for number, _ in packed)
