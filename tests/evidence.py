"""Evidence on epochs of an invented receiver in open ocean, one after the other."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date
from typing import Any

from core.accuracy import ErrorModel
from core.evidence import (
    NO_PAST,
    Evidence,
    How,
    evidence,
    gather,
)
from core.fix import Fix, FixMode, Position, Utc
from core.nmea.readings import Gsv
from core.trust import Verdict

MODEL = ErrorModel()
TODAY = date(2031, 5, 4)
NOON_MS = 43_200_000
METRE_DEG = 1 / 110_600
"""Of latitude near 10 degrees north, to a thousandth (usual series, from memory)."""
LATITUDE, LONGITUDE = 10.5, -20.25

Epoch = tuple[float, Fix]


def seen(epochs: Iterable[Epoch], reference: date | None = TODAY) -> list[Evidence]:
    """Evidence of each epoch; `(arrival, fix)` in their order."""
    past, found = NO_PAST, []
    for at_s, fix in epochs:
        past = gather(past, fix, at_s, MODEL)
        found.append(evidence(past, fix, How(MODEL, reference, Verdict.FIRM)))
    return found


def fix(north_m: float = 0.0, east_m: float = 0.0, **fields: Any) -> Fix:
    """An autonomous fix at HDOP 1 (13.8 m of error allowed for), so many metres from a place in open ocean."""
    where = Position(LATITUDE + north_m * METRE_DEG, LONGITUDE + east_m * METRE_DEG / math.cos(math.radians(LATITUDE)))
    return Fix(position=where, mode=FixMode.AUTONOMOUS, hdop=1.0, stated_in_fix=8)._replace(**fields)


def utc(second: float, day: date | None = TODAY) -> Utc:
    return Utc(NOON_MS + round(1000 * second), day)


def good(second: int, **fields: Any) -> Fix:
    """Standing still, in three dimensions."""
    return fix(speed_mps=0.0, utc=utc(second), dimensions=3)._replace(**fields)


def page(number: int, pages: int, *strengths: int | None, system: str = "G", signal: str = "") -> Gsv:
    first = 4 * number - 3
    groups = ",".join(f"{first + n:02d},45,090,{cno or ''}" for n, cno in enumerate(strengths))
    return Gsv(pages, number, system, signal, groups)


def sky(*strengths: int | None, system: str = "G", signal: str = "") -> tuple[Gsv, ...]:
    """All on one page, which a test may and a receiver may not."""
    return (page(1, 1, *strengths, system=system, signal=signal),)


ALLOWED_M = 2 * 1.730818 * 4.0 + 30.0
"""A step that no speed explains: twice the 95 % error at HDOP 1, and the slack."""
