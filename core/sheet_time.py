"""Times of a trip sheet: the user's zone beside UTC, and which day's light is meant."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta, timezone
from functools import cache
from typing import NamedTuple
from zoneinfo import ZoneInfo, available_timezones

from core.errors import InputError

FIRST_YEAR, LAST_YEAR = 1901, 2099
"""A year within what `core.places.sun` knows, so that no evening reaches outside."""
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
"""Ours, not the system's language: the sheet is in English."""
_OFFSET = re.compile(r"(?:UTC)?([+-])(\d{2}):?([0-5]\d)", re.ASCII)
_NO_ZONE = "give one as Pacific/Auckland, as UTC, or as an offset, +05:30"
_NO_ZONES = "there is no zone database on this computer: give UTC or an offset, +05:30, or install the package tzdata"


class Zone(NamedTuple):
    """How the user's clocks run."""

    name: str
    local: Callable[[datetime], datetime]
    """Any aware moment in local time; a naive one is local time already."""

    def moment(self, day: date, at: time) -> datetime:
        """The UTC of a wall clock's time. Raises InputError where clocks skip it; of two the first is meant."""
        wall = datetime.combine(day, at)
        moment = self.local(wall).astimezone(UTC)
        if self.local(moment).replace(tzinfo=None) != wall:
            raise InputError(f"{at:%H:%M} does not come on {day} in {self.name}: the clocks go forward then")
        return moment

    def comes_twice(self, day: date, at: time) -> bool:
        """Whether the wall clock shows this time twice on the day, as clocks go back."""
        wall = datetime.combine(day, at)
        return self.local(wall).utcoffset() != self.local(wall.replace(fold=1)).utcoffset()


def zone(name: str) -> Zone:
    """Of the zone database, UTC, or an offset. Raises InputError saying what would do."""
    fixed = _OFFSET.fullmatch(name)
    if name.upper() in {"UTC", "Z"}:
        return Zone("UTC", _in(UTC))
    if fixed:
        return _fixed(fixed)
    try:
        return Zone(name, _in(ZoneInfo(name)))
    except (KeyError, ValueError, OSError) as error:
        advice = _NO_ZONE if _has_zones() else _NO_ZONES
        raise InputError(f"no time zone of that name is known here: {advice}") from error


def computer_zone(local: Callable[[datetime], datetime] = datetime.astimezone) -> Zone:
    """The one that this computer is set to."""
    return Zone("this computer's zone", local)


def clock(moment: datetime, day: date) -> str:
    """`14:32`, with the date where it is another than the sheet's; to the nearest minute."""
    near = moment + timedelta(seconds=30)
    return f"{near:%H:%M}" if near.date() == day else f"{near:%H:%M} {near.day} {MONTHS[near.month - 1]}"


def clock_before(moment: datetime, day: date) -> str:
    """The same, cut to the minute: a latest time is never rounded to a later one."""
    return clock(moment.replace(second=0, microsecond=0), day)


def offset(moment: datetime) -> str:
    """`UTC+05:30` of a local time."""
    minutes = round((moment.utcoffset() or timedelta(0)).total_seconds() / 60)
    return f"UTC{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def long_date(day: date) -> str:
    """`Friday, 20 Mar 2026`."""
    return f"{DAYS[day.weekday()]}, {day.day} {MONTHS[day.month - 1]} {day.year}"


@cache
def _has_zones() -> bool:
    """Windows has none of its own, nor has a bare container. Looked at once: it walks through the whole database."""
    return bool(available_timezones())


def _in(zone_info: timezone | ZoneInfo) -> Callable[[datetime], datetime]:
    def local(moment: datetime) -> datetime:
        return moment.replace(tzinfo=zone_info) if moment.tzinfo is None else moment.astimezone(zone_info)

    return local


def _fixed(found: re.Match[str]) -> Zone:
    minutes = int(found[2]) * 60 + int(found[3])
    if minutes > 14 * 60:
        raise InputError(f"no clock runs {found[2]} hours beside UTC: {_NO_ZONE}")
    span = timedelta(minutes=-minutes if found[1] == "-" else minutes)
    return Zone(f"UTC{found[1]}{found[2]}:{found[3]}", _in(timezone(span)))
