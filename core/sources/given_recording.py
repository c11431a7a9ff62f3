"""Somebody else's track as a recording: sentences that say position, height and time, and nothing that was not given.

Mode and quality are those of a position put in by hand (NMEA 0183: quality 7, mode M), so nothing takes it for a fix
that a receiver made. Speed and course are left empty: what they were nobody wrote down.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from core.fix import Position
from core.formats.given_track import GivenPoint, GivenTrack
from core.nmea.whole_lines import checksum
from core.places.geodesic import distance_m
from core.sources.recording import Mark, Piece

PACE_MPS = 5 / 3.6
"""At which a track without times is played: 5 km/h, Naismith's walker on the level (trade-facts.md f)."""
LEAST_STEP_S = 1.0
_LAST = datetime.max.replace(tzinfo=UTC) - timedelta(seconds=1)
"""Of the calendar: what comes after it cannot be rounded up."""
YEARS = range(1980, 2080)
"""Those that two digits of a sentence can mean."""


class GivenRecording:
    """Of the shape of a `Recording`, as far as a player asks."""

    def __init__(self, path: Path, track: GivenTrack) -> None:
        self.path = path
        self._track = track
        self._given = 0
        self._at_s = 0.0
        self._before: GivenPoint | None = None

    def again(self) -> GivenRecording:
        """The same from its beginning, to be read independently."""
        return GivenRecording(self.path, self._track)

    def mark(self) -> Mark:
        """Where the next piece begins."""
        return Mark(self._given, (self._at_s, self._before))

    def go_to(self, mark: Mark) -> None:
        """`pieces`, called anew, goes on from here."""
        self._given = mark.offset
        self._at_s, self._before = mark.state if isinstance(mark.state, tuple) else (0.0, None)

    def stamp(self) -> object:
        """The track was read once and for all: nothing changes."""
        return None

    @property
    def fraction(self) -> float:
        """How much of it has been given out, 0 to 1."""
        return self._given / len(self._track.points)

    @property
    def warning(self) -> str:
        """What the user should know of it as a whole."""
        paced = "" if self._track.timed else "; no times in it: played at 5 km/h"
        lost = f"; {self._track.left_out} points were no places" if self._track.left_out else ""
        return f"positions only, of unknown quality{paced}{lost}"

    def pieces(self) -> Iterator[Piece]:
        """A point each, at the times of the file; a time that does not go on is left out."""
        points, timed = self._track.points, self._track.timed
        while self._given < len(points):
            point, before = points[self._given], self._before
            self._given += 1
            if timed and before is not None and point.time == before.time:
                continue  # two places at one instant: the first stands
            self._at_s += _step_s(before, point, timed=timed)
            self._before = point
            yield Piece(_sentences(point, timed=timed, breaks=point.begins and before is not None), self._at_s)

    def close(self) -> None:
        """Nothing is open."""


def _step_s(before: GivenPoint | None, point: GivenPoint, *, timed: bool) -> float:
    if before is None:
        return 0.0
    if timed and before.time is not None and point.time is not None:
        return max(0.001, (point.time - before.time).total_seconds())
    return max(LEAST_STEP_S, distance_m(before.position, point.position) / PACE_MPS)


def _sentences(point: GivenPoint, *, timed: bool, breaks: bool) -> bytes:
    """Where a segment begins, first one that says void: nothing may be drawn or summed across."""
    clock, day = _clock(point.time) if timed and point.time else ("", "")
    where = _where(point.position)
    altitude = "" if point.altitude_m is None else f"{point.altitude_m:.1f}"
    bodies = [f"GNRMC,{clock},A,{where},,,{day},,,M", f"GNGGA,{clock},{where},7,,,{altitude},M,,M,,"]
    if breaks:
        bodies.insert(0, "GNRMC,,V,,,,,,,,,,N")
    return b"".join(_line(body) for body in bodies)


def _clock(time: datetime) -> tuple[str, str]:
    """To the hundredth, as receivers write it; a date only if two digits of a year tell it."""
    rounded = min(time, _LAST) + timedelta(milliseconds=5)
    day = f"{rounded:%d%m}{rounded.year % 100:02d}" if rounded.year in YEARS else ""
    return f"{rounded:%H%M%S}.{rounded.microsecond // 10_000:02d}", day


def _where(position: Position) -> str:
    """Seven decimals of a minute are 0.2 mm."""
    return f"{_angle(position.latitude_deg, 2, 'NS')},{_angle(position.longitude_deg, 3, 'EW')}"


def _angle(degrees: float, width: int, letters: str) -> str:
    units = round(abs(degrees) * 60 * 10_000_000)
    whole, minutes = divmod(units, 60 * 10_000_000)
    return f"{whole:0{width}d}{minutes // 10_000_000:02d}.{minutes % 10_000_000:07d},{letters[degrees < 0]}"


def _line(body: str) -> bytes:
    data = body.encode("ascii")
    return b"$%s*%02X\r\n" % (data, checksum(data))
