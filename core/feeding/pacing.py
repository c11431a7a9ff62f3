"""When an epoch's turn has come, and when there has been none for too long."""

from __future__ import annotations

from collections import deque
from statistics import median_low

from core.aged import MISSED_PERIODS
from core.feeding.thinning import span_of
from core.fix import Fix
from core.history import USUAL_PERIOD_S

VOID_EVERY_S = 1.0
LEAST_PATIENCE_S = 1.0
"""A computer that hesitates for a fifth of a second must not ring the alarms of other programs (ours)."""


class Rate:
    """The first epoch of each span goes out (core.feeding.thinning)."""

    def __init__(self, rate_hz: float | None) -> None:
        """`rate_hz`: None: every one."""
        self._rate_hz = rate_hz
        self._span: tuple[bool, int] | None = None

    def allows(self, fix: Fix, at_s: float) -> bool:
        """Whether this is the first of its span. `at_s`: where it has no time of its own."""
        if self._rate_hz is None:
            return True
        before = self._span
        self._span = span_of(fix.utc.time_ms if fix.utc else None, at_s, self._rate_hz)
        return self._span != before


class Staleness:
    """Since when there is no position any more, as the board itself counts it (core.aged)."""

    def __init__(self) -> None:
        self._came_s: float | None = None
        self._periods: deque[float] = deque(maxlen=3)
        self._void_s: float | None = None

    def came(self, at_s: float) -> None:
        """An epoch that says whether there is a fix, by when its first sentence arrived."""
        if self._came_s is not None and at_s > self._came_s:
            self._periods.append(at_s - self._came_s)
        self._came_s = at_s
        self._void_s = None

    def wants_void(self, at_s: float) -> bool:
        """Whether a void set is due: the first once the newest epoch is stale, then one a second."""
        since_s = self._came_s if self._void_s is None else self._void_s
        if since_s is None:
            return False
        period_s = median_low(self._periods) if self._periods else USUAL_PERIOD_S
        patience_s = max(LEAST_PATIENCE_S, MISSED_PERIODS * period_s) if self._void_s is None else VOID_EVERY_S
        if at_s - since_s <= patience_s:
            return False
        self._void_s = at_s
        return True
