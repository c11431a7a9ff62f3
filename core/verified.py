"""When a list says that somebody last checked a station, as a day; and what its status says of being on the air.

Figures alone may be day or month first, so such a date is taken at the earlier of the two: what is said to be recent
has to be. The words are common practice, no source.
"""

from __future__ import annotations

import re
from datetime import date
from enum import Enum

OLD_AFTER_DAYS = 365
"""A list that nobody has held against the air for a year is doubted (our own choice)."""
_YEAR_FIRST = re.compile(r"(\d{4})(?:[-/.](\d{1,2})(?:[-/.](\d{1,2})(?:[T ].*)?)?)?", re.ASCII)
_YEAR_LAST = re.compile(r"(?:(\d{1,2})[-/. ]{1,2})?(\d{1,2})[-/. ]{1,2}(\d{4})", re.ASCII)
_OFF = re.compile(
    r"\b(?:off|not|no|none|qrt|down|closed|inactive|defunct|dead|dismantled|silent|suspended|planned|projected|"
    r"proposed|test|testing|faulty|broken|out of (?:order|service))\b"
)
_ON = re.compile(r"\b(?:on|on air|active|operational|ok|yes|qrv|up|working|in service)\b")


class Air(Enum):
    """What a status says."""

    ON = "on the air"
    OFF = "may be off the air"
    UNKNOWN = "status unknown"


def air(status: str) -> Air:
    """A word for off wins over one for on: `not on air` holds both."""
    plain = status.casefold()
    if _OFF.search(plain):
        return Air.OFF
    return Air.ON if _ON.search(plain) else Air.UNKNOWN


def verified_on(text: str) -> date | None:
    """The earliest day that the text can mean; None where it is no date."""
    plain = text.strip()
    found = _YEAR_FIRST.fullmatch(plain)
    if found:
        return _day(int(found[1]), int(found[2] or 1), int(found[3] or 1))
    found = _YEAR_LAST.fullmatch(plain)
    if not found:
        return None
    year, a, b = int(found[3]), int(found[1] or 1), int(found[2])
    days = [one for one in (_day(year, b, a), _day(year, a, b) if found[1] else None) if one]
    return min(days, default=None)


def is_old(verified: date, today: date) -> bool:
    """Whether it is so long ago that it says little; a day that has not come yet says nothing at all."""
    return not 0 <= (today - verified).days <= OLD_AFTER_DAYS


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
