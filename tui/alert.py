"""What must be noticed: a fix that is lost, back, or doubtful now (these ring); a heading that is lost."""

from __future__ import annotations

from core.trust import Verdict

LOST_FOR_S = 3.0
"""A fix counts as lost once it has been away this long: a single void epoch is no reason to ring (common practice)."""


class FixAlert:
    """Watches position and verdict. Silent until there has been a first fix."""

    def __init__(self) -> None:
        self._had_fix = False
        self._away_since_s: float | None = None
        self._rung = False
        self._best = Verdict.NO_FIX

    def update(self, is_current: bool, verdict: Verdict, now_s: float) -> str:
        """What to say and ring for at this moment; empty for nothing. `now_s`: the source's clock."""
        if is_current:
            came_back, self._rung = self._rung, False
            self._had_fix, self._away_since_s = True, None
            dropped = self._dropped(verdict)
            return "The fix is back." if came_back else dropped
        if not self._had_fix or self._rung:
            return ""
        if self._away_since_s is None or now_s < self._away_since_s:
            self._away_since_s = now_s
        if now_s - self._away_since_s < LOST_FOR_S:
            return ""
        self._rung = True
        self._best = Verdict.NO_FIX
        return "The fix is lost."

    def _dropped(self, verdict: Verdict) -> str:
        """From usable or firm to doubtful: once, until it has been better again."""
        if verdict >= Verdict.USABLE:
            self._best = verdict
            return ""
        fell, self._best = self._best >= Verdict.USABLE, verdict
        return "The fix is doubtful: 7 says why." if fell else ""


class HeadingWatch:
    """Whether a compass that was turned head-up has lost its heading. Says so once each time."""

    def __init__(self) -> None:
        self._lost = False

    def update(self, *, head_up: bool, has_heading: bool) -> str:
        """What to say at this moment; empty for nothing."""
        before, self._lost = self._lost, head_up and not has_heading
        return "No heading any more: north-up until it is back." if self._lost and not before else ""
