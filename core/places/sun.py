"""Light: sunrise, sunset and civil twilight of one day, and where the sun stands now.

Declination and equation of time are astral's (imported when first asked for); the times are searched for here, because
astral's own put refraction on twilight and leave out the days when something happens twice or only half. Rules: sunrise
and sunset when the centre is 50' below the horizon (34' of refraction and 16' of radius, USNO definitions,
trade-facts.md S44), civil twilight when it is 6 degrees below, without refraction (S43). The horizon is level and open:
in a valley the sun goes an hour earlier.

Held against skyfield with DE421: within 3 s below 70 degrees of latitude and 5 s at 78 degrees. Those are days on
which the sun crosses the horizon at an angle. Around the first and the last day of a polar day or night it grazes it:
there a hundredth of a degree, and any real refraction, are minutes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from core.fix import Position

SUNRISE_DEG = -50 / 60
CIVIL_DEG = -6.0
FIRST_YEAR, LAST_YEAR = 1900, 2100
"""The series behind the sun's place hold from 1900 to 2100 (from memory)."""
_TT_MINUS_UT_S = 69.0
"""Terrestrial time less universal time, 69.2 s since 2017 (32.184 s + 37 s, leap_seconds.csv). Left out altogether,
the times of sun_times.csv move by 0.4 s at the most."""
_PARALLAX_DEG = 8.794 / 3600
"""Of the sun at the horizon (IAU 1976, from memory): it stands that much lower than from the middle of the Earth."""
_UNIX_EPOCH_JD, _J2000_JD, _DAYS_PER_CENTURY = 2_440_587.5, 2_451_545.0, 36_525.0
_STEP = timedelta(minutes=5)
"""A sun that is up or down for less than this, off noon, may go unseen."""
_HALF_DAY = timedelta(hours=12)
_Track = list[tuple[datetime, float]]
"""Moments of one day and the elevation then."""


class DayKind(StrEnum):
    """What the sun does with one height in one day. Of the horizon and of civil twilight alike."""

    ORDINARY = "rises and sets"
    ABOVE = "stays above"
    BELOW = "stays below"
    ONLY_RISES = "rises and does not set"
    ONLY_SETS = "sets and does not rise"


class SunDay(NamedTuple):
    """The light of one day; None for what does not happen on it. All times UTC."""

    noon: datetime
    """When the sun crosses the meridian."""
    civil_dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    civil_dusk: datetime | None
    sun: DayKind
    """ABOVE is the midnight sun, BELOW the polar night."""
    civil: DayKind
    """ABOVE is a night that does not get darker than civil twilight, BELOW a day without any."""


class SunPosition(NamedTuple):
    """Where the centre of the sun stands."""

    azimuth_deg: float
    """True, 0 to below 360."""
    elevation_deg: float
    """Above the level horizon, without refraction, which lifts the sun by half a degree at the horizon."""


_WORDS = {
    ("sun", DayKind.ABOVE): "The sun does not set",
    ("sun", DayKind.BELOW): "The sun does not rise",
    ("sun", DayKind.ONLY_RISES): "The sun rises and does not set",
    ("sun", DayKind.ONLY_SETS): "The sun sets and does not rise",
    ("civil", DayKind.ABOVE): "Civil twilight lasts all night",
    ("civil", DayKind.BELOW): "No civil twilight",
    ("civil", DayKind.ONLY_RISES): "Civil twilight begins and lasts all night",
    ("civil", DayKind.ONLY_SETS): "Civil twilight ends and does not begin",
}


def in_words(day: SunDay) -> tuple[str, ...]:
    """The names of what is out of the ordinary; empty on an ordinary day."""
    found = (_WORDS.get(("sun", day.sun)), _WORDS.get(("civil", day.civil)))
    return tuple(words for words in found if words)


def solar_date(position: Position, utc: datetime) -> date:
    """The date by mean solar time at this longitude: the day to ask `sun_day` for.

    Raises ValueError for a time without a zone or a year out of range.
    """
    return (_aware(utc) + timedelta(hours=position.longitude_deg / 15)).date()


# The board asks at every step of a walk, for a place and a day that are the same for minutes; a day costs milliseconds.
@lru_cache(maxsize=16)
def sun_day(position: Position, day: date) -> SunDay:
    """The light from half a day before to half a day after the solar noon of this date at this longitude.

    The date is the local one, by the sun; in UTC the times may lie on the day before or after. Raises ValueError for a
    year before 1900 or after 2100; the first and the last day may reach outside and count as such.
    """
    noon = _noon(position, day)
    track = _track(position, noon)
    dawn, dusk, civil = _crossings(position, track, CIVIL_DEG)
    sunrise, sunset, sun = _crossings(position, track, SUNRISE_DEG)
    return SunDay(noon, dawn, sunrise, sunset, dusk, sun, civil)


def sun_position(position: Position, utc: datetime) -> SunPosition:
    """Azimuth and elevation at one instant. Raises ValueError for a time without a zone or a year out of range."""
    declination, hour_angle = _sun(position, _aware(utc))
    latitude = math.radians(position.latitude_deg)
    up = math.sin(latitude) * math.sin(declination)
    up += math.cos(latitude) * math.cos(declination) * math.cos(hour_angle)
    north = math.cos(latitude) * math.sin(declination)
    north -= math.sin(latitude) * math.cos(declination) * math.cos(hour_angle)
    east = -math.cos(declination) * math.sin(hour_angle)
    parallax_deg = _PARALLAX_DEG * math.hypot(north, east)
    elevation_deg = math.degrees(math.atan2(up, math.hypot(north, east))) - parallax_deg
    return SunPosition(math.degrees(math.atan2(east, north)) % 360.0 % 360.0, elevation_deg)


def _aware(utc: datetime) -> datetime:
    """The same instant, with its year checked before any sum can leave the calendar."""
    if utc.tzinfo is None:
        raise ValueError("the time needs its zone: give it in UTC")
    _check_year(utc)
    return utc.astimezone(UTC)


def _check_year(day: date) -> None:
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValueError(f"the sun's place is known from {FIRST_YEAR} to {LAST_YEAR}, not in {day.year}")


def _series() -> tuple[Callable[[float], float], Callable[[float], float]]:
    """Declination in degrees and equation of time in minutes, of Julian centuries since 2000."""
    from astral.sun import eq_of_time, sun_declination

    return sun_declination, eq_of_time


def _sun(position: Position, utc: datetime) -> tuple[float, float]:
    """Declination and hour angle (west of the meridian positive), radians."""
    _check_year(utc)
    seconds = utc.timestamp()
    declination_deg, equation_min = _series()
    days = (seconds + _TT_MINUS_UT_S) / 86_400 + _UNIX_EPOCH_JD - _J2000_JD
    centuries = days / _DAYS_PER_CENTURY
    solar_min = seconds % 86_400 / 60 + equation_min(centuries) + 4 * position.longitude_deg
    return math.radians(declination_deg(centuries)), math.radians(solar_min / 4 - 180)


def _noon(position: Position, day: date) -> datetime:
    """When the sun crosses the meridian: mean noon, set right by the equation of time then."""
    _check_year(day)
    mean = datetime(day.year, day.month, day.day, 12, tzinfo=UTC) - timedelta(hours=position.longitude_deg / 15)
    _, hour_angle = _sun(position, mean)
    return mean - timedelta(hours=math.remainder(math.degrees(hour_angle), 360.0) / 15)


def _track(position: Position, noon: datetime) -> _Track:
    """The height of the sun, step by step, from half a day before noon to half a day after."""
    steps = _HALF_DAY // _STEP
    moments = (noon + n * _STEP for n in range(-steps, steps + 1))
    return [(moment, sun_position(position, moment).elevation_deg) for moment in moments]


def _crossings(
    position: Position, track: _Track, height_deg: float
) -> tuple[datetime | None, datetime | None, DayKind]:
    """First rise through a height and last fall below it, and what the two make of the day."""
    steps = [
        (one, other, height >= height_deg)
        for (one, was), (other, height) in pairwise(track)
        if (was >= height_deg) != (height >= height_deg)
    ]
    rise = next((_settle(position, (one, other), height_deg) for one, other, rising in steps if rising), None)
    falls = [_settle(position, (one, other), height_deg) for one, other, rising in steps if not rising]
    fall = falls[-1] if falls and (rise is None or falls[-1] > rise) else None
    return rise, fall, _kind(rise, fall, always_above=track[0][1] >= height_deg)


def _settle(position: Position, step: tuple[datetime, datetime], height_deg: float) -> datetime:
    """Halve until the change is known to a tenth of a second."""
    early, late = step
    before = sun_position(position, early).elevation_deg >= height_deg
    while late - early > timedelta(seconds=0.1):
        middle = early + (late - early) / 2
        same = (sun_position(position, middle).elevation_deg >= height_deg) == before
        early, late = (middle, late) if same else (early, middle)
    return early + (late - early) / 2


def _kind(rise: datetime | None, fall: datetime | None, *, always_above: bool) -> DayKind:
    if rise and fall:
        return DayKind.ORDINARY
    if rise or fall:
        return DayKind.ONLY_RISES if rise else DayKind.ONLY_SETS
    return DayKind.ABOVE if always_above else DayKind.BELOW
