"""From epochs to the points of an export: which count, and where the way between two of them is not known.

Only satellite fixes are points. What is estimated, put in by hand or simulated is no place where a receiver was, and in
another program nothing would tell it from one: it is left out and counted. Gaps and jumps are those of the trip
(`core.steps`), at whatever rate the receiver reports.
"""

from __future__ import annotations

import math
from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from core.accuracy import Error95, median
from core.epochs import Epoch
from core.evidence import FASTEST_BY_GUESS_MPS, JUMP_SLACK_M, JUMP_SPEED_FACTOR
from core.export_plan import Plan
from core.export_window import Window
from core.fix import Fix, Position
from core.samples import BACK_S, LONGEST_GAP_S, Sample, Xyz, elapsed_s, join
from core.steps import INTERVALS_KEPT, USUAL_INTERVALS
from core.trust import Verdict


class ExportPoint(NamedTuple):
    """One satellite fix on its way to a file."""

    position: Position
    fix: Fix
    at_s: float
    """By the receiver's own clock as far as it has one; only differences within a segment mean anything."""
    xyz: Xyz
    """Metres from the Earth's centre."""
    begins: bool
    """The first of a segment: nothing is drawn from the point before."""
    verdict: Verdict | None = None
    error: Error95 | None = None
    sentences: bytes = b""
    """Of its epoch, where the export is made of them."""

    @property
    def altitude_m(self) -> float | None:
        """Above mean sea level; None too where the receiver assumed it (two dimensions)."""
        return None if self.fix.dimensions == 2 else self.fix.altitude_m

    @property
    def ellipsoidal_m(self) -> float | None:
        """Above the WGS 84 ellipsoid."""
        if self.altitude_m is None or self.fix.geoid_separation_m is None:
            return None
        return self.altitude_m + self.fix.geoid_separation_m


LeftOut = Counter[str]
"""How many fixes were left out, by the reason in words."""
OUTSIDE = "outside the time asked for"
NOT_MEASURED = "estimated, put in by hand or simulated"
DOUBTFUL = "of a lower verdict than asked for"


def no_sentences() -> bytes:
    """For formats that are not made of them."""
    return b""


def points(
    epochs: Iterable[Epoch], plan: Plan, left_out: LeftOut, sentences: Callable[[], bytes] = no_sentences
) -> Iterator[ExportPoint]:
    """The fixes that the plan wants, cut into segments, not thinned yet. `sentences` is asked once for each epoch."""
    window, breaks = Window(plan.since, plan.until), Breaks()
    for epoch in epochs:
        data, reason = sentences(), _why_not(epoch, plan, window)
        if reason is not None:
            breaks.without(epoch.fix)
            if epoch.fix.position is not None:
                left_out[reason] += 1
            continue
        sample, begins = breaks.take(epoch.fix, epoch.at_s)
        yield ExportPoint(
            sample.position,
            epoch.fix,
            sample.at_s,
            sample.xyz,
            begins,
            epoch.trust.verdict,
            epoch.trust.error,
            data,
        )


def _why_not(epoch: Epoch, plan: Plan, window: Window) -> str | None:
    if not window.holds(epoch.fix):
        return OUTSIDE
    if not epoch.fix.is_satellite_fix:
        return NOT_MEASURED
    return DOUBTFUL if plan.only is not None and epoch.trust.verdict < plan.only else None


class Breaks:
    """Says of each fix whether the way from the last one is known; figures and reasons as in `core.steps`."""

    def __init__(self) -> None:
        self._before: Sample | None = None
        self._lost = False
        self._intervals: deque[float] = deque(maxlen=INTERVALS_KEPT)

    def without(self, fix: Fix) -> None:
        """An epoch that is no point: the next interval is a loss, and says nothing of how often there are reports."""
        self._lost = self._lost or fix.told

    def take(self, fix: Fix, at_s: float) -> tuple[Sample, bool]:
        """The next point's place and clock, and whether it begins a segment."""
        before, sample = self._before, join(None, (fix, at_s, None))[0]
        begins = True
        if before is not None:
            step_s = elapsed_s(before, fix, at_s)
            sample = sample._replace(at_s=before.at_s + max(0.0, step_s))
            begins = self._is_broken(before, sample, step_s)
            if not begins:
                sample = _with_speed(before, sample)
        self._before, self._lost = sample, False
        return sample, begins

    def _is_broken(self, before: Sample, sample: Sample, step_s: float) -> bool:
        longest_s = self._longest_s(step_s)
        if not self._lost and step_s > 0.0:
            self._intervals.append(step_s)
        return step_s < -BACK_S or step_s > longest_s or _jumped(before, sample, max(0.0, step_s))

    def _longest_s(self, step_s: float) -> float:
        if step_s <= LONGEST_GAP_S or not self._intervals:
            return LONGEST_GAP_S
        return max(LONGEST_GAP_S, USUAL_INTERVALS * (median([*self._intervals]) or 0.0))


def _jumped(before: Sample, new: Sample, step_s: float) -> bool:
    """Farther than speed and time explain (`core.evidence`)."""
    known = [speed for speed in (before.speed_mps, new.speed_mps) if speed is not None]
    explained_m = JUMP_SPEED_FACTOR * max(known, default=FASTEST_BY_GUESS_MPS) * step_s
    return math.dist(before.xyz, new.xyz) > explained_m + JUMP_SLACK_M


def _with_speed(before: Sample, new: Sample) -> Sample:
    """Where none is reported, that between the two."""
    step_s = new.at_s - before.at_s
    if new.speed_mps is not None or step_s <= 0.0:
        return new
    return new._replace(speed_mps=math.dist(before.xyz, new.xyz) / step_s)
