"""The bell: when the fix is lost, and when it comes back."""

from __future__ import annotations

LOST_FOR_S = 3.0
"""A fix counts as lost once it has been away this long: a single void epoch is no reason to ring (common practice)."""


class FixAlert:
    """Watches whether the position is current. Silent until there has been a first fix."""

    def __init__(self) -> None:
        self._had_fix = False
        self._away_since_s: float | None = None
        self._rung = False

    def update(self, is_current: bool, now_s: float) -> str:
        """What to say and ring for at this moment; empty for nothing. `now_s`: the source's clock."""
        if is_current:
            came_back, self._rung = self._rung, False
            self._had_fix, self._away_since_s = True, None
            return "The fix is back." if came_back else ""
        if not self._had_fix or self._rung:
            return ""
        if self._away_since_s is None or now_s < self._away_since_s:
            self._away_since_s = now_s
        if now_s - self._away_since_s < LOST_FOR_S:
            return ""
        self._rung = True
        return "The fix is lost."
