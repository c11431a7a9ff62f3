"""GPS time: weeks since 1980-01-06 and seconds of the week, and how far it is ahead of UTC.

GPS time has no leap seconds, so each one that UTC inserts puts it one second further ahead. A receiver learns the count
from the satellites, within 12.5 minutes (trade-facts, section h); we have it in a table.
"""

from __future__ import annotations

from bisect import bisect_right
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

from core.dates import ROLLOVER_DAYS

GPS_EPOCH = datetime(1980, 1, 6, tzinfo=UTC)
WEEK_S = 604_800
WEEKS_COUNTED = ROLLOVER_DAYS // 7
"""GPS sends its week in ten bits."""

LEAP_SECONDS: tuple[tuple[date, int], ...] = (
    (date(1980, 1, 6), 0),
    (date(1981, 7, 1), 1),
    (date(1982, 7, 1), 2),
    (date(1983, 7, 1), 3),
    (date(1985, 7, 1), 4),
    (date(1988, 1, 1), 5),
    (date(1990, 1, 1), 6),
    (date(1991, 1, 1), 7),
    (date(1992, 7, 1), 8),
    (date(1993, 7, 1), 9),
    (date(1994, 7, 1), 10),
    (date(1996, 1, 1), 11),
    (date(1997, 7, 1), 12),
    (date(1999, 1, 1), 13),
    (date(2006, 1, 1), 14),
    (date(2009, 1, 1), 15),
    (date(2012, 7, 1), 16),
    (date(2015, 7, 1), 17),
    (date(2017, 1, 1), 18),
)
"""From which UTC midnight on GPS is so many seconds ahead: IERS, TAI-UTC less 19 s (tests/data/leap_seconds.csv)."""
CAVEAT = "unless a leap second was announced after this program was built"


class GpsTime(NamedTuple):
    """An instant as GPS counts it."""

    week: int
    """Since 1980-01-06, not cut to ten bits."""
    tow_s: float
    """Seconds of the week, 0 to 604,800."""
    ahead_of_utc_s: int

    @property
    def week_sent(self) -> int:
        """The week as the satellites send it, in ten bits."""
        return self.week % WEEKS_COUNTED


class Rollover(NamedTuple):
    """When the week count next begins anew."""

    week: int
    utc: datetime
    """By the leap seconds known today."""


def ahead_of_utc_s(day: date) -> int | None:
    """Seconds that GPS time is ahead of UTC on a day; None before 1980-01-06, when there was no GPS time."""
    found = bisect_right(LEAP_SECONDS, day, key=lambda row: row[0])
    return LEAP_SECONDS[found - 1][1] if found else None


def gps_time(day: date, second_of_day: float) -> GpsTime | None:
    """The GPS time of a UTC second, 0 to 86,401 (86,400 is 23:59:60); None before there was any."""
    ahead = ahead_of_utc_s(day)
    if ahead is None:
        return None
    days = (day - GPS_EPOCH.date()).days
    weeks, tow_s = divmod(days * 86_400 + second_of_day + ahead, WEEK_S)
    return GpsTime(int(weeks), tow_s, ahead)


def next_rollover(after: date) -> Rollover | None:
    """The first rollover of the ten-bit week that begins after a day; None where the calendar ends before."""
    turns = max(0, (after - GPS_EPOCH.date()).days // ROLLOVER_DAYS) + 1
    try:
        midnight = GPS_EPOCH + timedelta(days=turns * ROLLOVER_DAYS)
    except OverflowError:
        return None
    ahead = ahead_of_utc_s(midnight.date() - timedelta(days=1)) or 0
    return Rollover(turns * WEEKS_COUNTED, midnight - timedelta(seconds=ahead))
