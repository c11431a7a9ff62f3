"""How figures and names are written on a trip sheet: in UTF-8, or with ASCII alone."""

from __future__ import annotations

import math
from datetime import date, datetime
from typing import NamedTuple

from core.fix import Position
from core.sheet_page import NAME_CELLS, clean, cut, wrapped
from core.sheet_time import Zone, clock, clock_before
from core.spelled import as_ascii
from core.units import in_use

INDENT = "   "
NOTHING = "-"
"""In a table, for what is not known or does not happen."""
COARSE_M = 10.0
"""A place known no better says so."""
NO_DIRECTION_DEG = 90.0
"""A bearing that may be off by this leads nowhere."""
WHOLE_DEGREES_FROM_DEG = 1.0


class Pen(NamedTuple):
    """What it writes with, and the day and the clocks that times are told by."""

    day: date
    zone: Zone
    ascii_only: bool = False

    def text(self, words: str) -> str:
        """Anybody's words on one line, in the characters that the paper takes."""
        return self.marks(clean(words))

    def marks(self, words: str) -> str:
        """Our own words, spaces as they stand, in the characters that the paper takes."""
        return as_ascii(words) if self.ascii_only else words

    def name(self, words: str, room: int = NAME_CELLS) -> str:
        """A name, cut to the room that it has; a dash for one that is empty."""
        return cut(self.text(words) or NOTHING, room)

    def says(self, *sentences: str, indent: str = "") -> list[str]:
        """Sentences as one paragraph."""
        return list(wrapped(self.text(" ".join(one for one in sentences if one)), indent))

    def local(self, moment: datetime | None) -> str:
        """By the user's clocks."""
        return NOTHING if moment is None else clock(self.zone.local(moment), self.day)

    def utc(self, moment: datetime | None) -> str:
        """In UTC."""
        return NOTHING if moment is None else clock(moment, self.day)

    def latest(self, moment: datetime) -> str:
        """By the user's clocks and in UTC, cut to the minute."""
        local, utc = clock_before(self.zone.local(moment), self.day), clock_before(moment, self.day)
        return f"{utc} UTC" if self.zone.name == "UTC" else f"{local} ({utc} UTC)"

    def latest_local(self, moment: datetime) -> str:
        """By the user's clocks, cut to the minute."""
        return clock_before(self.zone.local(moment), self.day)


def bearing(degrees: float | None, uncertainty_deg: float = 0.0) -> str:
    """Three figures and a tenth, whole degrees where it is no better; a dash for none."""
    if degrees is None or uncertainty_deg >= NO_DIRECTION_DEG:
        return NOTHING
    if uncertainty_deg >= WHOLE_DEGREES_FROM_DEG:
        return f"{math.floor(degrees + 0.5) % 360:03d}"
    tenths = math.floor(degrees * 10 + 0.5) % 3600
    return f"{tenths // 10:03d}.{tenths % 10}"


def spread(uncertainty_deg: float) -> str:
    """How far a bearing may be off, degrees, rounded up."""
    return "any" if uncertainty_deg >= NO_DIRECTION_DEG else f"{_up(uncertainty_deg):.1f}"


def sigma(degrees: float) -> str:
    """One sigma of a declination, rounded up."""
    return f"±{_up(degrees):.1f}°"


def east_or_west(degrees: float) -> str:
    """`12.3° east`; no side where it rounds to nothing."""
    size = f"{abs(degrees):.1f}°"
    if size == "0.0°":
        return size
    return f"{size} {'east' if degrees > 0 else 'west'}"


def metres(distance_m: float) -> str:
    """`850 m` or `4.6 km`, for prose."""
    return in_use().coarse(distance_m)


def is_near_pole(position: Position) -> bool:
    """Where a bearing turns by degrees over a day's walk: at 89 degrees by one for each 2 km across (calc)."""
    return abs(position.latitude_deg) >= 89.0


def _up(degrees: float) -> float:
    return math.ceil(degrees * 10 - 1e-9) / 10
