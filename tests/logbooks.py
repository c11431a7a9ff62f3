"""Recordings for the tests of the logbook, made by the real recorder. All places are open ocean, all names invented."""

from __future__ import annotations

import os
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from core.logbook import LARGEST_FILE, Recorder, RecorderOptions
from core.sources.source import Arrival
from core.sources.wall import WallAnchor
from tests.build import clock, gsa, lines

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
LATER = datetime(2031, 6, 1, tzinfo=UTC)
"""Long after all that is recorded."""
NORTH_DEG_PER_S = 1.5 / 110_600
"""1.5 m/s northwards near 10.5 degrees north, where a minute of latitude is 1843 m (WGS 84)."""
LATITUDE_DEG, LONGITUDE_DEG = 10.5, -20.25
PATIENCE_S = 60.0
"""Far more than the writing takes: a slow machine must not make a test red."""


def latitude(seconds: float) -> float:
    """Of the walk, so long after its start."""
    return LATITUDE_DEG + seconds * NORTH_DEG_PER_S


def epoch(moment: datetime, seconds: float = 0.0, *, fix: bool = True, day: bool = True, hdop: float = 1.0) -> bytes:
    """What the receiver says at `moment`, `seconds` after the start of a walk due north."""
    at = clock((moment - moment.replace(hour=0, minute=0, second=0, microsecond=0)).total_seconds())
    date = f"{moment:%d%m%y}" if day else ""
    if not fix:
        return lines(f"GNRMC,{at},V,,,,,,,{date},,,N", f"GNGGA,{at},,,,,0,00,,,M,,M,,")
    minutes = (latitude(seconds) - 10.0) * 60
    place = f"10{minutes:09.6f},N,02015.000000,W"
    used = gsa(5, 7, 13, 15, 20, 24, 30, system="1").replace("2.0,1.0,1.7", f"2.0,{hdop},1.7")
    return lines(f"GNRMC,{at},A,{place},2.9,0.0,{date},,,A", f"GNGGA,{at},{place},1,09,{hdop},12.5,M,30.0,M,,", used)


def walk(
    began: datetime, seconds: int, *, gap: tuple[int, int] = (0, 0), day: bool = True
) -> list[tuple[float, bytes]]:
    """An epoch a second: seconds after the start, and what comes then. In `gap`, from and to below, there is no fix."""
    return [
        (float(n), epoch(began + timedelta(seconds=n), n, fix=not gap[0] <= n < gap[1], day=day))
        for n in range(seconds)
    ]


def record(
    folder: Path, began: datetime, heard: Iterable[tuple[float, bytes]], *, label: str = "gps",
    compress: bool = False, largest: int = LARGEST_FILE, exact: bool = False,
) -> list[Path]:  # fmt: skip
    """Through the recorder, into its own files; these, in their order, a month old."""
    before = set(folder.iterdir()) if folder.exists() else set()
    anchor = WallAnchor(round(began.timestamp() * 1000), 0.0)
    options = RecorderOptions(
        folder, label, exact=exact, compress=compress, largest_file=largest, least_free=0, longest_stall_s=1e9
    )
    recorder = Recorder(options, anchor)
    recorder.start()
    for seconds, data in heard:
        recorder.offer(Arrival(data, seconds))
    ended = recorder.stop(PATIENCE_S)
    assert not ended.reason, ended.reason
    made = sorted(set(folder.iterdir()) - before)
    for path in made:
        aged(path, began)
    return made


def aged(path: Path, moment: datetime) -> None:
    """As if last written to then."""
    os.utime(path, (moment.timestamp(), moment.timestamp()))
