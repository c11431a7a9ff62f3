"""Marking where one stands: what a fix makes a waypoint of, and what it is called until the user says otherwise."""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from itertools import count

from core.errors import InputError
from core.fix import Fix, FixMode
from core.waypoint import Waypoint

KINDS: tuple[str, ...] = (
    "mark", "car", "start", "camp", "water", "shelter", "top", "crossing", "station", "danger",
)  # fmt: skip
"""Kinds of places on offer: what a walker or an operator goes back to. Our own list."""

_WHY_NOT = {
    FixMode.ESTIMATED: "the position is estimated, not measured",
    FixMode.MANUAL: "the position was typed into the receiver",
    FixMode.SIMULATED: "the receiver simulates",
}


def mark_here(fix: Fix, error_95_m: float | None, taken: Collection[str]) -> Waypoint:
    """A waypoint at the fix. Its name says number and time; no number of the names in `taken` is given twice.

    `error_95_m`: the horizontal 95 % error of this fix, None unknown. Raises InputError without a satellite fix.
    """
    refused = refusal(fix)
    if refused or fix.position is None:
        raise InputError(refused)
    return Waypoint(
        f"{free_name('Mark', taken)} {_clock(fix)}",
        fix.position,
        fix.altitude_m,
        fix.utc.datetime() if fix.utc else None,
        kind="mark",
        error_95_m=_sensible(error_95_m),
        mode=fix.mode.value,
    )


def refusal(fix: Fix) -> str:
    """Why nothing can be marked at this fix; empty where something can."""
    if fix.position is not None and fix.is_satellite_fix:
        return ""
    why = _WHY_NOT.get(fix.mode, "the receiver gives no position") if fix.position else "there is no position"
    return f"no satellite fix, {why}: nothing can be marked until there is one"


def free_name(stem: str, taken: Collection[str]) -> str:
    """The stem with the least number, from 1 on, that follows it in none of the names. One pass, for 10,000 names."""
    # Nine digits: beyond them it is no number that we gave.
    numbered = re.compile(rf"{re.escape(stem)} ([1-9][0-9]{{0,8}})(?: |\Z)")
    used = {int(found[1]) for found in map(numbered.match, taken) if found}
    return f"{stem} {next(number for number in count(1) if number not in used)}"


def _clock(fix: Fix) -> str:
    return f"{fix.utc.clock()[:5]} UTC" if fix.utc else "no time"


def _sensible(error_m: float | None) -> float | None:
    return error_m if error_m is not None and math.isfinite(error_m) and error_m >= 0 else None
