"""A value and how long ago it came: the base of "blank rather than wrong"."""

from __future__ import annotations

from enum import Enum
from typing import Generic, NamedTuple, TypeVar

T = TypeVar("T")

MISSED_PERIODS = 2.2
"""A value is stale once two more of it were due and did not come; the fifth of a period allows for a late line."""
GONE_AFTER_S = 10.0
"""The shortest time for which an old value may still stand, grey, on the board."""


class Freshness(Enum):
    """How a value may be shown."""

    FRESH = "fresh"
    STALE = "stale"
    """Grey, with its age."""
    GONE = "gone"
    """Not at all."""


class Aged(NamedTuple, Generic[T]):
    """A value with its time of arrival and the usual interval between its kind."""

    value: T
    at_s: float
    """On the clock of the source that delivered it."""
    period_s: float

    def age_s(self, now_s: float) -> float:
        """Seconds since it came, on the same clock."""
        return max(0.0, now_s - self.at_s)

    def freshness(self, now_s: float) -> Freshness:
        """FRESH until two periods were missed, GONE after ten seconds or three periods, whichever is longer."""
        age = self.age_s(now_s)
        if age > max(GONE_AFTER_S, 3 * self.period_s):
            return Freshness.GONE
        return Freshness.STALE if age > MISSED_PERIODS * self.period_s else Freshness.FRESH
