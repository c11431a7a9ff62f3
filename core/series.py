"""A few figures of every epoch, for strip charts: bounded memory, oldest first."""

from __future__ import annotations

from typing import NamedTuple

from core.accuracy import Error95
from core.fix import Fix, FixMode, Position, Utc
from core.trust import Trust

SAMPLES_KEPT = 3600
"""An hour at 1 Hz."""


class Place(NamedTuple):
    """Where an epoch was, and all that decides what it may be compared with."""

    position: Position
    utc: Utc | None
    mode: FixMode
    altitude_m: float | None
    """Above mean sea level, as the receiver reports it."""
    geoid_separation_m: float | None
    datum: str | None
    error: Error95


class Sample(NamedTuple):
    """One epoch's figures; None where it does not tell."""

    at_s: float
    """On the source's clock."""
    in_fix: float | None
    hdop: float | None
    best_four_dbhz: float | None
    altitude_m: float | None
    speed_mps: float | None
    verdict: int
    place: Place | None = None
    """None without a position."""


def sample(fix: Fix, at_s: float, trust: Trust) -> Sample:
    """The figures of a judged epoch."""
    evidence = trust.evidence
    count = fix.satellites_in_fix
    return Sample(
        at_s,
        None if count is None else float(count),
        fix.hdop,
        evidence.best_four_dbhz if evidence else None,
        fix.altitude_m,
        fix.speed_mps,
        trust.verdict,
        place_of(fix, trust),
    )


def place_of(fix: Fix, trust: Trust) -> Place | None:
    """Where an epoch was; None without a position."""
    if fix.position is None:
        return None
    return Place(fix.position, fix.utc, fix.mode, fix.altitude_m, fix.geoid_separation_m, fix.datum, trust.error)
