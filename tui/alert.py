"""What must be noticed: a fix that is lost, back, or doubtful now (these ring); a heading that is lost."""

from __future__ import annotations

from typing import NamedTuple

from core.navigator import Going
from core.trust import Verdict

LOST_FOR_S = 3.0
"""A fix counts as lost once it has been away this long: a single void epoch is no reason to ring (common practice)."""


LOST, BACK = "The fix is lost.", "The fix is back."
EVENT_OF = {LOST: "lost", BACK: "back"}
"""Which event of the settings that is; anything else is that it is doubtful."""


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
            return BACK if came_back else dropped
        if not self._had_fix or self._rung:
            return ""
        if self._away_since_s is None or now_s < self._away_since_s:
            self._away_since_s = now_s
        if now_s - self._away_since_s < LOST_FOR_S:
            return ""
        self._rung = True
        self._best = Verdict.NO_FIX
        return LOST

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


class Turned(NamedTuple):
    """What has happened on the way since the last look."""

    legs_done: int = 0
    words: str = ""
    """To be said and rung for; empty for nothing."""


class TurnWatch:
    """Whether the latest time to turn back is past: told once, until it has been otherwise for good."""

    def __init__(self) -> None:
        self._told = ""

    def update(self, overdue: str) -> str:
        """What to ring for at this moment; empty for nothing. `overdue`: what the banner says of it."""
        before, self._told = self._told, overdue
        return "It is past the latest time to turn back: the banner says since when." if overdue and not before else ""


class GoingWatch:
    """Notices the next leg and the arrival, each once."""

    def __init__(self) -> None:
        self._leg = 0
        self._arrived = False

    @classmethod
    def at(cls, going: Going) -> GoingWatch:
        """One that takes this for known."""
        watch = cls()
        watch.update(going)
        return watch

    def update(self, going: Going) -> Turned:
        """What is new in this state of the way; a state without a route says nothing."""
        if going.route is None:
            return Turned()
        done, self._leg = going.leg - self._leg, going.leg
        came, self._arrived = going.arrived and not self._arrived, going.arrived
        goals = going.route.goals
        if came:
            return Turned(done, f"Arrived at {goals[going.leg].name}: the banner says how near.")
        if done > 0:
            return Turned(done, f"Reached {goals[going.leg - 1].name}. Next: {goals[going.leg].name}.")
        return Turned(0)
