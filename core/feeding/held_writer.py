"""Sentences of a held place: as put in by hand, with the time by this computer's clock."""

from __future__ import annotations

from collections.abc import Callable

from core.feeding.pacing import Rate
from core.feeding.plan import FeedPlan
from core.fix import Fix
from core.nmea.write import USUAL_TYPES, Epoch, sentences

HeldFix = Callable[[float], Fix]


class HeldWriter:
    """A saved place, told every second, or more seldom where that is wanted."""

    waits = False

    def __init__(self, plan: FeedPlan, fix_at: HeldFix) -> None:
        """`fix_at`: the place as a Fix, with the time by this computer's clock."""
        self._plan = plan
        self._fix_at = fix_at
        self._rate = Rate(plan.rate_hz)

    def take(self, data: bytes, at_s: float) -> list[bytes]:
        """A tick of the held source."""
        fix = self._fix_at(at_s)
        if not data or not self._rate.allows(fix, at_s):
            return []
        return sentences(Epoch(fix, None, self._plan.talker), self._plan.types or USUAL_TYPES)

    def tick(self, at_s: float) -> list[bytes]:
        """Between ticks there is nothing new."""
        del at_s
        return []
