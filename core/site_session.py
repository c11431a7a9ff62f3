"""One averaging of one spot: the fixes that count, in metres around the first of them, and what became of the others.

One fix a second counts, however many come: errors wander over minutes, so those between say the same again
(trade-facts.md c). Each waits `PROBATION_S` before it counts, so that the first steps of somebody who carries the
receiver away never do. Beyond `MOST_SAMPLES` every second one is dropped and half as many are taken from then on.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from core.accuracy import median
from core.fix import Fix, FixMode, Position, Utc
from core.samples import BACK_S, LEAST_STEP_S, LONGEST_GAP_S, Sample, elapsed_s

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.averaging import SiteAverage, SiteSample
    from core.map_view import Plane

PROBATION_S = 20.0
"""How long a fix waits before it counts (our own choice: longer than it takes to notice a move)."""
MOST_SAMPLES = 43_200
"""Twelve hours at one a second: bounds memory and the cost of the figures."""
UNKNOWN_GAP_S = 60.0
"""Put in the place of a gap that no clock can tell the length of: more than any gap that is bridged."""
USUAL_INTERVALS, INTERVALS_KEPT = 3.0, 5
"""A gap is longer than so many usual intervals, and than `LONGEST_GAP_S` (as for the trip, `core.steps`)."""
MOST_GAP_S = 30 * 86_400.0
"""Beyond a month two dates belong to no one averaging: one of them is wrong."""
EVERY_SAMPLES, EVERY_SHARE = 10, 25
"""The figures are worked out again after so many new samples, or a 25th of those there are: they take up to a tenth of
a second, and so their cost stays in step with the number of fixes however fast a recording plays. A mean moves by far
less than its uncertainty meanwhile."""


class Counted(NamedTuple):
    """A fix that counts, as it is kept on the disk."""

    t_s: float
    """Since the first, gaps and pauses included."""
    utc: Utc | None
    position: Position
    altitude_m: float | None
    """Above mean sea level, as the receiver reports it; None for a fix in two dimensions."""
    separation_m: float | None
    """Of the geoid from the ellipsoid."""
    mode: FixMode
    error_95_m: float | None
    """Horizontal, as estimated for this one fix."""
    datum: str | None = None


class SampleView(NamedTuple):
    """Samples as of a moment: the list is shared and only grows, so look at the first `count` of it."""

    points: Sequence[SiteSample]
    count: int  # type: ignore[assignment]  # hides tuple.count: nobody counts a sample in a view


NO_SAMPLES = SampleView((), 0)


class Session:
    """Not for use by two threads at once."""

    def __init__(self) -> None:
        self.samples: list[SiteSample] = []
        self.fresh: list[Counted] = []
        """Counted since whoever keeps them on the disk took them last."""
        self.origin: Position | None = None
        self.origin_altitude_m: float | None = None
        self.separation_m: float | None = None
        self.first_utc: Utc | None = None
        self.last: Counted | None = None
        self.modes: Counter[FixMode] = Counter()
        self.covered_s = 0.0
        self.gaps, self.gap_s = 0, 0.0
        self.skipped = 0
        self.average: SiteAverage | None = None
        self.waiting: deque[tuple[Counted, SiteSample]] = deque()
        """Those on probation, oldest first."""
        self._plane: Plane | None = None
        self._newest: tuple[float, Sample] | None = None
        """Time and clocks of the fix that was offered last, counted or not."""
        self._due = EVERY_SAMPLES
        self._step_s = LEAST_STEP_S
        self._intervals: deque[float] = deque(maxlen=INTERVALS_KEPT)

    def offered(self, fix: Fix, at_s: float, error_95_m: float | None) -> SiteSample | None:
        """A usable fix: its sample if it is due, which is then on probation; None where it comes too soon.

        `at_s`: its arrival on the source's clock.
        """
        if fix.position is None:
            return None
        t_s = self._time_of(fix, at_s)
        if t_s is None:
            return None
        flat = fix.dimensions == 2
        counted = Counted(
            t_s,
            fix.utc,
            fix.position,
            None if flat else fix.altitude_m,
            None if flat else fix.geoid_separation_m,
            fix.mode,
            error_95_m,
            fix.datum,
        )
        self._newest = t_s, _clock(fix, at_s)
        sample = self._sample(counted)
        self.waiting.append((counted, sample))
        return sample

    def release(self, *, all_of_them: bool = False) -> None:
        """Count those whose probation is over."""
        while self.waiting and (all_of_them or self._is_over()):
            counted, sample = self.waiting.popleft()
            self._count(counted, sample)
            self.fresh.append(counted)
        if len(self.samples) >= self._due or (all_of_them and self.is_behind):
            self.refresh()

    def drop_waiting(self) -> None:
        """None of those on probation counts; after that comes a gap."""
        self.waiting.clear()

    def forget_oldest(self) -> None:
        """Those whose probation is over do not count."""
        while self._is_over():
            self.waiting.popleft()

    def load(self, kept: Sequence[Counted]) -> None:
        """Go on with what was kept; the time until the next fix is a gap."""
        for counted in kept:
            self._count(counted, self._sample(counted))
        self.refresh()

    def refresh(self) -> None:
        """Work out the figures of all samples."""
        from core.averaging import average

        if self.samples:
            self.average = average(self.samples)
        self._due = len(self.samples) + max(EVERY_SAMPLES, len(self.samples) // EVERY_SHARE)

    @property
    def is_behind(self) -> bool:
        """Whether there are samples that the figures do not hold yet."""
        return self.average is None or self.average.count != len(self.samples)

    def position_at(self, east_m: float, north_m: float) -> Position | None:
        """The place so far from the first fix; None before there was one."""
        return self._plane.position(east_m, north_m) if self._plane else None

    def place_of(self, position: Position) -> tuple[float, float] | None:
        """The inverse: metres east and north of the first fix."""
        from core.map_view import vector

        return self._plane.east_north(vector(position)) if self._plane else None

    def _time_of(self, fix: Fix, at_s: float) -> float | None:
        """Seconds since the first sample; None where it is too soon for another.

        A gap of no known length is taken for one of `UNKNOWN_GAP_S`.
        """
        if self._newest is None:
            return 0.0 if self.last is None else self.last.t_s + _dated_gap_s(self.last.utc, fix.utc)
        t_s, clock = self._newest
        step_s = elapsed_s(clock, fix, at_s)
        if step_s < -BACK_S or at_s < clock.arrived_s:
            return t_s + UNKNOWN_GAP_S
        return t_s + step_s if step_s >= self._step_s else None

    def _is_over(self) -> bool:
        """Whether the probation of the oldest is."""
        return bool(self.waiting) and self.waiting[-1][0].t_s - self.waiting[0][0].t_s > PROBATION_S

    def _sample(self, counted: Counted) -> SiteSample:
        from core.averaging import SiteSample
        from core.map_view import Plane, vector

        if self._plane is None:
            self.origin, self._plane = counted.position, Plane(counted.position)
        if self.origin_altitude_m is None:
            self.origin_altitude_m = counted.altitude_m
        east_m, north_m = self._plane.east_north(vector(counted.position))
        base_m, height_m = self.origin_altitude_m, counted.altitude_m
        up_m = None if height_m is None or base_m is None else height_m - base_m
        return SiteSample(counted.t_s, east_m, north_m, up_m)

    def _count(self, counted: Counted, sample: SiteSample) -> None:
        if self.last is None:
            self.first_utc = counted.utc
        else:
            self._cover(counted.t_s - self.last.t_s)
        self.last = counted
        self.modes[counted.mode] += 1
        if counted.separation_m is not None:
            self.separation_m = counted.separation_m
        self.samples.append(sample)
        if len(self.samples) > MOST_SAMPLES:
            self._thin()

    def _cover(self, step_s: float) -> None:
        usual_s = median(list(self._intervals)) or step_s
        if step_s > max(LONGEST_GAP_S, USUAL_INTERVALS * usual_s):
            self.gaps += 1
            self.gap_s += step_s
            return
        self._intervals.append(step_s)
        self.covered_s += step_s

    def _thin(self) -> None:
        """A new list: who was shown the old one still has it."""
        self.samples = self.samples[::2]
        self._step_s = 2 * self._step_s
        self._due = 0


def _clock(fix: Fix, at_s: float) -> Sample:
    """What `core.samples.elapsed_s` wants of a fix: only its clocks."""
    time_ms = fix.utc.time_ms if fix.utc else None
    return Sample(at_s, at_s, time_ms, Position(0.0, 0.0), (0.0, 0.0, 0.0), None, None)


def _dated_gap_s(before: Utc | None, now: Utc | None) -> float:
    """After a restart only the date tells how long it was."""
    then = before.datetime() if before else None
    moment = now.datetime() if now else None
    if then is None or moment is None:
        return UNKNOWN_GAP_S
    gap_s = (moment - then).total_seconds()
    return gap_s if 0.0 < gap_s < MOST_GAP_S else UNKNOWN_GAP_S
