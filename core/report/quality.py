"""What of a recording was good, counted while it is read."""

from __future__ import annotations

from collections import Counter

from core.accuracy import RunningMedian
from core.fix import Fix
from core.trust import Trust

MOST_KINDS = 50
"""Of contradictions and datums: a stream that makes up more must not fill the memory."""


class Spread95(RunningMedian):
    """A median, and other ranks."""

    def at_share(self, share: float) -> float | None:
        """The value that this share of all is at or below, within one per cent; None of none."""
        return self._at(max(1, round(share * self.count))) if self.count else None


class Quality:
    """Takes epochs that told whether there is a fix."""

    def __init__(self) -> None:
        self.errors = Spread95()
        """Estimated horizontal 95 % errors, metres."""
        self.contradictions: Counter[str] = Counter()
        self.datums: Counter[str] = Counter()
        self.wrong_days = 0
        """Epochs whose date the receiver cannot rightly have shown."""
        self.bases: Counter[str] = Counter()
        """What the errors were estimated from."""

    def take(self, fix: Fix, trust: Trust) -> None:
        """The next epoch."""
        if trust.error.horizontal_m is not None:
            self.errors.add(trust.error.horizontal_m)
            _count(self.bases, trust.error.basis)
        for one in fix.contradictions:
            _count(self.contradictions, one)
        if fix.datum and fix.position:
            _count(self.datums, fix.datum)
        self.wrong_days += trust.evidence is not None and trust.evidence.day_is_wrong


def _count(counter: Counter[str], key: str) -> None:
    counter[key if key in counter or len(counter) < MOST_KINDS else "others"] += 1
