"""From epochs to steps of a trip: usable fixes a second apart, each joined to the one before, or after a gap or a jump.

What joins them is what guidance goes by (`core.samples`): the receiver's clock where it tells one, figures for jumps as
for the verdict. What is a gap follows from how often this receiver reports.
"""

from __future__ import annotations

from collections import deque
from enum import Enum
from typing import NamedTuple

from core.accuracy import median
from core.fix import Fix, Utc, ms_to
from core.samples import LEAST_STEP_S, LONGEST_GAP_S, Joint, Sample, elapsed_s, join

DAY_S = 86_400.0
HALF_DAY_S = DAY_S / 2
USUAL_INTERVALS = 3.0
"""This many usual intervals, or ten seconds if that is longer, may pass between usable fixes: beyond, the way between
is not known (common practice, no source)."""
INTERVALS_KEPT = 5


class Follows(Enum):
    """How a step follows the one before."""

    BEGINS = "begins"
    """The first of all."""
    GOES_ON = "goes on"
    AFTER_GAP = "after a gap"
    AFTER_JUMP = "after a jump"


class Step(NamedTuple):
    """A usable fix that counts."""

    sample: Sample
    follows: Follows
    seconds: float
    """Since the one before, 0 or more; 0 where nobody knows."""


class Steps:
    """Takes epochs in their order."""

    def __init__(self) -> None:
        self._newest: Sample | None = None
        self._utc: Utc | None = None
        self._without: tuple[Fix, float] | None = None
        self._intervals: deque[float] = deque(maxlen=INTERVALS_KEPT)
        self._cut = False

    def interrupt(self) -> None:
        """Whatever comes next follows a gap, however short: whoever wrote the track says so."""
        self._cut = True

    def take(self, fix: Fix, at_s: float, usable: bool) -> Step | None:
        """The next epoch, and its arrival on the source's clock; None where it is no step, or too soon for one."""
        if not usable or fix.position is None:
            if fix.told:
                self._without = fix, at_s
            return None
        before = self._newest
        if before is None:
            return self._stepped(join(None, (fix, at_s, None))[0], fix.utc, Follows.BEGINS)
        step_s = elapsed_s(before, fix, at_s)
        if 0.0 <= step_s < LEAST_STEP_S and at_s >= before.arrived_s:
            return None  # most epochs at 10 Hz: not worth a sample
        sample, joint = join(before, (fix, at_s, None), self._longest_s(step_s))
        if joint is Joint.TOO_SOON:
            return None
        return self._joined(before, sample, joint, fix.utc)

    @property
    def begun(self) -> bool:
        """Whether any usable fix has come."""
        return self._newest is not None

    def open_gap_s(self) -> float:
        """How long no usable fix has come so far; 0 while that is no gap yet, or before the first."""
        if self._newest is None or self._without is None:
            return 0.0
        lost_s = elapsed_s(self._newest, *self._without)
        return lost_s if lost_s > self._longest_s(lost_s) else 0.0

    def _longest_s(self, step_s: float) -> float:
        """Asked for only where it matters: the median costs more than the step."""
        if step_s <= LONGEST_GAP_S or not self._intervals:
            return LONGEST_GAP_S
        return max(LONGEST_GAP_S, USUAL_INTERVALS * (median([*self._intervals]) or 0.0))

    def _joined(self, before: Sample, sample: Sample, joint: Joint, utc: Utc | None) -> Step:
        step_s = sample.at_s - before.at_s
        if self._without is None and step_s > 0.0:
            self._intervals.append(step_s)  # with a void epoch between it is a loss, and no interval of reports
        if joint is Joint.GOES_ON and not self._cut:
            return self._stepped(sample, utc, Follows.GOES_ON, step_s)
        if joint is Joint.BROKEN and step_s > 0.0:
            return self._stepped(sample, utc, Follows.AFTER_JUMP, step_s)
        # By the longer of the clocks: an arrival clock may have stood still, as in a file read at once.
        told_s = clock_step_s(self._utc, utc) if self._utc and utc else 0.0
        return self._stepped(sample, utc, Follows.AFTER_GAP, max(0.0, step_s, told_s))

    def _stepped(self, sample: Sample, utc: Utc | None, follows: Follows, seconds: float = 0.0) -> Step:
        self._newest, self._utc, self._without, self._cut = sample, utc, None, False
        return Step(sample, follows, seconds)


def clock_step_s(before: Utc, after: Utc) -> float:
    """Seconds from one epoch to the next, 0 where the clock went back or was set rather than went on.

    With both dates known a step of a day or more is a clock being set (receivers start in 1980, or in the year of their
    firmware); without, steps are taken within half a day either way, so that midnight is no obstacle.
    """
    step = ms_to(before.time_ms, after.time_ms) / 1000
    if before.day is None or after.day is None:
        return step if step < HALF_DAY_S else 0.0
    midnights = 1 if after.time_ms < before.time_ms else 0
    return step if (after.day - before.day).days == midnights else 0.0
