"""One converter per kind of field: text of a sentence to a number, a time, a date, a position.

Empty means None. Text that is not of its kind means None too where the field is an extra, and `BadField` where the
sentence cannot be believed without it (time, date, status). Python's own float() is too generous for this: it takes
"nan", "1e5" and "1_0".
"""

from __future__ import annotations

import re
from datetime import date
from functools import lru_cache

from core.fix import Position

KNOT_MPS = 1852 / 3600
"""One international nautical mile an hour, exactly (Hydrographic Conference, Monaco 1929)."""
FASTEST_MPS = 515.0
"""1,000 knots: the limit built into civil receivers under export rules (from memory); beyond it a speed is damage."""
FIRST_GPS_YEAR = 80
"""Two-digit years from here on belong to the 1900s: GPS time began on 1980-01-06."""

_NUMBER = re.compile(r"[+-]?(?:\d{1,12}(?:\.\d{0,12})?|\.\d{1,12})", re.ASCII)
_DATE = re.compile(r"(\d\d)(\d\d)(\d\d)", re.ASCII)


class BadField(ValueError):
    """A field without which the sentence means nothing is not of its kind; the text says which and why."""


def number(text: str) -> float | None:
    """A plain decimal number."""
    if len(text) <= 12:  # then no part of it can have too many digits, and looking at the characters is enough
        digits = text.replace(".", "", 1)
        if digits.isdigit() and digits.isascii():
            return float(text)
    return float(text) if _NUMBER.fullmatch(text) else None


@lru_cache(maxsize=2048)
def whole(text: str) -> int | None:
    """An unsigned whole number of up to six digits."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 6 else None


@lru_cache(maxsize=64)
def time_of_day(text: str) -> int | None:
    """Read hhmmss with any fraction, to milliseconds of the day, truncated. 23:59:60 is the leap second.

    Cached because the sentences of one epoch repeat it. Raises BadField where it is not a time.
    """
    try:
        return _HOURS[text[:2]] + _MINUTES[text[2:4]] + _SECONDS[text[4:6]] + _FRACTIONS[text[6:]]
    except KeyError:
        return _unusual_time(text)


_HOURS, _MINUTES, _SECONDS = (
    {f"{n:02d}": n * unit_ms for n in range(count)} for count, unit_ms in ((24, 3_600_000), (60, 60_000), (60, 1000))
)
_FRACTIONS = {"": 0, ".0": 0} | {f".{n:02d}": n * 10 for n in range(100)} | {f".{n:03d}": n for n in range(1000)}
"""The forms that receivers send; any other, and what is no time at all, is looked at in `_unusual_time`."""


def _unusual_time(text: str) -> int | None:
    if not text:
        return None
    digits, _, fraction = text.partition(".")
    if len(digits) != 6 or not (digits + fraction).isdigit() or not text.isascii():
        raise BadField(f"time {text!r} is not hhmmss")
    hours, minutes, seconds = int(digits[:2]), int(digits[2:4]), int(digits[4:])
    if hours > 23 or minutes > 59 or seconds > (60 if hours == 23 and minutes == 59 else 59):
        raise BadField(f"time {text!r} is no time of day")
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + int(fraction[:3].ljust(3, "0"))


@lru_cache(maxsize=16)
def date_ddmmyy(text: str) -> date | None:
    """The date of an RMC. All zeros is how some receivers say that they know none; raises BadField otherwise."""
    if not text or text == "000000":
        return None
    found = _DATE.fullmatch(text)
    if not found:
        raise BadField(f"date {text!r} is not ddmmyy")
    year = int(found[3])
    return calendar_day(year + (1900 if year >= FIRST_GPS_YEAR else 2000), int(found[2]), int(found[1]))


def calendar_day(year: int, month: int, day: int) -> date | None:
    """The date, None where the calendar has no such day."""
    try:
        return date(year, month, day)
    except ValueError:
        return None


@lru_cache(maxsize=32)
def position(latitude: str, ns: str, longitude: str, ew: str) -> Position | None:
    """ddmm.mmmm N|S dddmm.mmmm E|W; None unless all four are there and in range.

    Cached because RMC, GGA and GLL of one epoch repeat it. A missing hemisphere letter is no position: guessing it
    would be wrong by up to half the globe.
    """
    lat, lon = _angle(latitude, ns, "NS", 90.0), _angle(longitude, ew, "EW", 180.0)
    return None if lat is None or lon is None else Position(lat, lon)


def _angle(text: str, letter: str, letters: str, limit: float) -> float | None:
    """The digits before the last two of the whole part are degrees, the rest is minutes."""
    whole, dot, fraction = text.partition(".")
    if not (whole + fraction).isdigit() or not text.isascii() or len(text) > 20:
        return None
    if len(letter) != 1 or letter not in letters:
        return None
    minutes = float(whole[-2:] + dot + fraction)
    degrees = int(whole[:-2] or "0") + minutes / 60.0
    if minutes >= 60.0 or degrees > limit:
        return None
    return -degrees if letter == letters[1] and degrees else degrees


@lru_cache(maxsize=2048)
def direction(text: str) -> float | None:
    """Degrees clockwise, 0 to below 360; a receiver's 360.0 is 0.0."""
    value = number(text)
    return None if value is None or not 0.0 <= value <= 360.0 else value % 360.0


@lru_cache(maxsize=2048)
def speed_knots(text: str) -> float | None:
    """Knots to metres per second; None below zero or beyond `FASTEST_MPS`."""
    value = number(text)
    return value * KNOT_MPS if value is not None and 0.0 <= value * KNOT_MPS <= FASTEST_MPS else None


@lru_cache(maxsize=2048)
def speed_kmh(text: str) -> float | None:
    """Kilometres per hour to metres per second; None below zero or beyond `FASTEST_MPS`."""
    value = number(text)
    return value / 3.6 if value is not None and 0.0 <= value / 3.6 <= FASTEST_MPS else None


@lru_cache(maxsize=2048)
def dilution(text: str) -> float | None:
    """A DOP as reported. 0 and 99.9 or more are how receivers fill the field without one (common practice)."""
    value = number(text)
    return value if value is not None and 0.0 < value < 99.9 else None


@lru_cache(maxsize=2048)
def at_least_zero(text: str) -> float | None:
    """A length or an age, which cannot be negative."""
    value = number(text)
    return value if value is not None and value >= 0.0 else None


HIGHEST_M, LOWEST_M = 100_000.0, -12_000.0
"""Beyond these a height above sea level is damage: receivers stop far lower, and no sea is deeper."""


@lru_cache(maxsize=2048)
def height(text: str) -> float | None:
    """Metres above or below mean sea level, or a geoid separation."""
    value = number(text)
    return value if value is not None and LOWEST_M <= value <= HIGHEST_M else None
