"""What somebody wants of an export: format, part, thinning; and how that is written on a command line."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from enum import StrEnum
from typing import NamedTuple

from core.errors import UsageError
from core.fix import MS_PER_DAY
from core.shown import shown
from core.trust import Verdict
from core.units import length_m


class Format(StrEnum):
    """What an export can be; the words of `--to`."""

    GPX = "gpx"
    KML = "kml"
    GEOJSON = "geojson"
    CSV = "csv"
    NMEA = "nmea"


class Bound(NamedTuple):
    """One end of the part that is wanted. UTC."""

    time_ms: int
    """Since midnight."""
    day: date | None
    """None: a time of day, on the day that the recording makes of it (`core.export_window`)."""


class Every(NamedTuple):
    """How far apart points should be at least; one of the two."""

    seconds: float | None = None
    metres: float | None = None


EVERYTHING = Every()


@dataclass(frozen=True, slots=True)
class Plan:
    """All choices. They act in this order: time, verdict, trimmed ends, every, simplify."""

    to: Format
    since: Bound | None = None
    until: Bound | None = None
    only: Verdict | None = None
    """The least verdict that a point needs; None takes doubtful ones too."""
    trim_m: float | None = None
    """Nothing nearer than this to where it began or ended, at any time (`core.export_trim`)."""
    every: Every = EVERYTHING
    simplify_m: float | None = None
    """Points nearer than this to the line through the others are left out."""

    def __post_init__(self) -> None:
        """Raises UsageError for choices that contradict one another, saying why."""
        if self.to is Format.NMEA and self.simplify_m is not None:
            raise UsageError(
                "--simplify draws a line with fewer points, and sentences are measurements, not a line: "
                "use --every with nmea, or another format"
            )
        if self.since and self.until and _is_before(self.until, self.since):
            raise UsageError("--until is before --since: nothing can lie between")

    @property
    def picks_fixes(self) -> bool:
        """Whether it is about fixes: sentences that came without one cannot be asked for their place or verdict."""
        return self.only is not None or self.trim_m is not None or self.every != EVERYTHING

    @property
    def is_whole(self) -> bool:
        """Whether nothing is left out on purpose."""
        return not self.picks_fixes and self.since is None and self.until is None and self.simplify_m is None


def _is_before(a: Bound, b: Bound) -> bool:
    """Times of day are before and after one another."""
    return a.day is not None and b.day is not None and (a.day, a.time_ms) < (b.day, b.time_ms)


LEAST_M, MOST_M = 0.001, 1e10
"""Of a length that is asked for: finer than receivers write, longer than any way."""
_SECONDS = {"s": 1.0, "min": 60.0, "h": 3600.0}
_TIME = re.compile(r"(\d{1,7}(?:\.\d{1,3})?)\s?(s|min|h)", re.ASCII)
_CLOCK = re.compile(r"T?(\d{1,2}):(\d{2})(?::(\d{2})(?:\.(\d{1,3}))?)?Z?", re.ASCII)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


def every(text: str) -> Every:
    """`10s`, `2min`, `1h`, or a length in any unit, `25m`, `150ft`. Raises UsageError."""
    time = _TIME.fullmatch(text.strip())
    found = Every(seconds=float(time[1]) * _SECONDS[time[2]]) if time else Every(metres=_length_m(text))
    if not (found.seconds or found.metres):
        raise UsageError(f"{shown(text)} is no amount: write 10s, 2min, 1h, 25m, 1km or 150ft")
    return found


def metres(text: str) -> float:
    """A length in any unit, `5m`, `500ft`. Raises UsageError."""
    found = _length_m(text)
    if found is None:
        raise UsageError(f"{shown(text)} is no distance: write 5m, 200m, 1km or 500ft")
    return found


def _length_m(text: str) -> float | None:
    """None for what is no length, and for one that is none of a track."""
    found = length_m(text)
    return found if found is not None and LEAST_M <= found <= MOST_M else None


def since(text: str) -> Bound:
    """A time of day, a date, or both; UTC unless an offset says otherwise. Raises UsageError."""
    return _bound(text, last=False)


def until(text: str) -> Bound:
    """The same; a date alone means the end of that day."""
    return _bound(text, last=True)


def _bound(text: str, *, last: bool) -> Bound:
    text = text.strip()
    clock = _CLOCK.fullmatch(text)
    try:
        if clock:
            hours, minutes, seconds, part = clock.groups(default="0")
            return _at(time(int(hours), int(minutes), int(seconds), int(f"{part:0<3}") * 1000), None)
        if _DAY.fullmatch(text):
            return Bound(MS_PER_DAY - 1 if last else 0, date.fromisoformat(text))
        moment = datetime.fromisoformat(text if text.isascii() and _DAY.match(text) else "no date")
        moment = moment.astimezone(UTC) if moment.tzinfo else moment
        return _at(moment.time(), moment.date())
    except (ValueError, OverflowError) as error:
        raise UsageError(
            f"{shown(text)} is no time: write 14:32, 2031-05-04, or 2031-05-04T14:32Z (all UTC)"
        ) from error


def _at(clock: time, day: date | None) -> Bound:
    seconds = (clock.hour * 60 + clock.minute) * 60 + clock.second
    return Bound(seconds * 1000 + clock.microsecond // 1000, day)


_VERDICTS = {"usable": Verdict.USABLE, "firm": Verdict.FIRM}


def only(text: str) -> Verdict:
    """`usable` or `firm`. Raises UsageError."""
    if text not in _VERDICTS:
        raise UsageError(f"{shown(text)} is no verdict to choose by: usable or firm")
    return _VERDICTS[text]
