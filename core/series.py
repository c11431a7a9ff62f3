"""A few figures of every epoch, for strip charts: bounded memory, oldest first."""

from __future__ import annotations

from typing import NamedTuple

from core.fix import Fix
from core.trust import Trust

SAMPLES_KEPT = 3600
"""An hour at 1 Hz."""


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
    )
