"""Where in a recording the user wants to be, as typed: a time of day, so much on or back, a part of the whole.

`14:32`, `14:32:10`, `14:32:10.5 UTC` are times of day in the recording. `+5:00`, `-30`, `+1 h` count from where it
stands, `0:12:30 from start` and `90 s from start` from its first moment, `37%` is a part of it, `start` and `end` speak
for themselves. A bare `90` or `5 min` may mean any of these, and is refused.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from enum import Enum
from typing import NamedTuple

from core.errors import InputError

LONGEST = 40
"""Characters of what is typed."""
LONGEST_S = 366 * 86_400.0
"""A year: no recording is longer, and a slip of the finger should say so."""
EXAMPLES = "14:32:10 (UTC), +5:00, -30, 0:12:30 from start, 37%, start, end"


class From(Enum):
    """What is counted."""

    DAY = "milliseconds since midnight UTC, 0 to 86,400,999 (a leap second)"
    HERE = "seconds on from where it stands, negative: back"
    START = "seconds since the first moment"
    PART = "of the whole, 0 to 1"


class AskedMoment(NamedTuple):
    """A moment, by what it is counted from."""

    counted: From
    value: float


_CLOCK = re.compile(r"(\d{1,2}):(\d\d)(?::(\d\d)(?:[.,](\d{1,3}))?)?\s*(?:z|utc)?", re.IGNORECASE | re.ASCII)
_LENGTH = re.compile(r"(?:(?:(\d{1,4}):)?(\d{1,4}):)?(\d{1,8}(?:\.\d{1,3})?)\s*(h|min|m|s)?", re.IGNORECASE | re.ASCII)
_PART = re.compile(r"(\d{1,3}(?:[.,]\d{1,3})?)\s*%", re.ASCII)
_BEHIND = re.compile(r"(.*?)\s*(?:from|since|after)\s+(?:the\s+)?(?:start|begin|beginning)", re.IGNORECASE)
_UNITS_S = {"h": 3600.0, "min": 60.0, "m": 60.0, "s": 1.0}
_MINUS = str.maketrans({"\u2212": "-", "\u2013": "-"})
"""As word processors and web pages write it: the true minus, the dash."""


def read_moment(text: str) -> AskedMoment:
    """What is meant. Raises InputError saying what would be understood."""
    typed = " ".join(text.translate(_MINUS).split())
    if 0 < len(typed) <= LONGEST:
        for reader in _READERS:
            found = reader(typed)
            if found is not None:
                return found
    raise InputError(f"{typed[:LONGEST]!r} is no moment of a recording: {EXAMPLES}")


def _word(typed: str) -> AskedMoment | None:
    part = {"start": 0.0, "begin": 0.0, "end": 1.0}.get(typed.lower())
    return None if part is None else AskedMoment(From.PART, part)


def _part(typed: str) -> AskedMoment | None:
    found = _PART.fullmatch(typed)
    if found is None:
        return None
    percent = float(found[1].replace(",", "."))
    if percent > 100:
        raise InputError(f"{typed} is more than the whole recording: 0% to 100%")
    return AskedMoment(From.PART, percent / 100)


def _since_start(typed: str) -> AskedMoment | None:
    found = _BEHIND.fullmatch(typed)
    seconds = _length_s(found[1].removeprefix("+")) if found else None
    return None if seconds is None else AskedMoment(From.START, seconds)


def _from_here(typed: str) -> AskedMoment | None:
    if typed[0] not in "+-":
        return None
    seconds = _length_s(typed[1:].lstrip())
    return None if seconds is None else AskedMoment(From.HERE, -seconds if typed[0] == "-" else seconds)


def _of_day(typed: str) -> AskedMoment | None:
    """A leap second is 23:59:60, the last second of its day (ITU-R TF.460)."""
    found = _CLOCK.fullmatch(typed)
    if found is None:
        return None
    hour, minute, second = int(found[1]), int(found[2]), int(found[3] or 0)
    leap = (hour, minute, second) == (23, 59, 60)
    if hour > 23 or minute > 59 or (second > 59 and not leap):
        raise InputError(f"{typed} is no time of any day: 00:00 to 23:59:59, UTC")
    return AskedMoment(From.DAY, ((hour * 60 + minute) * 60 + second) * 1000 + int((found[4] or "0").ljust(3, "0")))


_READERS: tuple[Callable[[str], AskedMoment | None], ...] = (_word, _part, _since_start, _from_here, _of_day)


def _length_s(text: str) -> float | None:
    """A length of time: `30`, `5:00`, `1:00:00`, `2.5 min`; None for anything else. Raises InputError beyond a year."""
    found = _LENGTH.fullmatch(text)
    if found is None or (found[2] and found[4]):
        return None
    hours, minutes, seconds = float(found[1] or 0), float(found[2] or 0), float(found[3])
    if (found[2] and seconds >= 60) or (found[1] and minutes >= 60):
        raise InputError(f"{text} is no length of time: after a colon come 00 to 59")
    whole = (hours * 3600 + minutes * 60 + seconds) * _UNITS_S[(found[4] or "s").lower()]
    if whole > LONGEST_S:
        raise InputError(f"{text} is longer than a year: no recording is")
    return whole
