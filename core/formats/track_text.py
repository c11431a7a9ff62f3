"""What the formats of an export have in common: figures and times as text, and what is said of the whole."""

from __future__ import annotations

import math
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from core.fix import MS_PER_DAY, FixMode, Utc
from core.waypoint import Waypoint


class About(NamedTuple):
    """What an export says of itself."""

    title: str
    """May hold anything: each format makes it text."""
    note: str = ""
    waypoints: tuple[Waypoint, ...] = ()
    stamp_every_s: float = 60.0
    """How far apart a format stamps times on points where it has no place for one on each; 0 on all."""


def decimal(value: float | None, places: int) -> str:
    """A plain decimal without needless zeros; empty for what is unknown, or no number."""
    if value is None or not math.isfinite(value):
        return ""
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


repeated = lru_cache(maxsize=4096)(decimal)
"""The same for figures that come again and again, such as heights and dilutions: three times as quick."""


def moment(utc: Utc | None) -> str:
    """ISO 8601 with milliseconds and Z (xsd:dateTime); empty without a date, which these formats cannot do without.

    A leap second counts as the next midnight: xsd:dateTime has no second 60.
    """
    if utc is None or utc.day is None:
        return ""
    time_ms, day = utc
    if time_ms >= MS_PER_DAY:
        when = utc.datetime()
        return f"{when.replace(tzinfo=None).isoformat(timespec='milliseconds')}Z" if when else ""
    second, ms = divmod(time_ms % 60_000, 1000)
    if ms == 0:
        return _to_the_minute(day, time_ms // 60_000) + _WHOLE[second]
    return f"{_to_the_minute(day, time_ms // 60_000)}{second:02d}.{ms:03d}Z"


_WHOLE = tuple(f"{second:02d}.000Z" for second in range(60))


@lru_cache(maxsize=64)
def _to_the_minute(day: date, minute: int) -> str:
    """Once a minute instead of at each point."""
    return f"{day.isoformat()}T{minute // 60:02d}:{minute % 60:02d}:"


def mode_word(mode: FixMode) -> str:
    """The word of contract.md; empty where nobody said."""
    return "" if mode is FixMode.NONE else mode.value


def unicode_text(text: str) -> str:
    """With a replacement character for each half of a pair, which UTF-8 and JSON have no way to write."""
    return "".join("\ufffd" if "\ud800" <= one <= "\udfff" else one for one in text)
