"""The trip in figures, each honest: nothing counts that wandering, void epochs, gaps or noise of height could make.

Distance and times come from `core.moving`, climbs from `core.ascent`, breaks from `core.steps`. All sums only ever go
on; a leg, or a trip after a reset, is what has been added since a mark. So a reset can be undone without losing what
came after it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from core import trip_state
from core.ascent import Climb, ranges
from core.fix import Fix, Utc
from core.held_speed import HeldSpeed
from core.moving import Motion
from core.steps import Follows, Step, Steps, clock_step_s
from core.trip_state import NO_SUMS, Leg, State, Sums

LONGEST_AWAY_S = 10 * 365 * 86_400.0
"""Nobody goes on with a trip after ten years (no source): one of the two dates is wrong, as after a rollover (19.6)."""
LEAST_FOR_AVERAGE_S = 10.0
"""Of moving: less makes no average (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Totals:
    """Of a trip, or of a leg."""

    distance_m: float = 0.0
    moving_s: float = 0.0
    stopped_s: float = 0.0
    gap_s: float = 0.0
    """Without a usable fix, or of a jump: the way in that time is not known, and not counted. The three times together
    are the time since the first usable fix; before it, nothing counts."""
    gaps: int = 0
    """Longer than ten seconds, and than three of the receiver's usual intervals. The one under way counts."""
    average_mps: float | None = None
    """While moving; None with less than ten seconds of that."""
    fastest_mps: float | None = None
    """The receiver's own speed, the highest held over three usable fixes in a row (two seconds at least)."""
    ascent_m: tuple[float, float] = (0.0, 0.0)
    """The range in which it lies (`core.ascent`), lower end first."""
    descent_m: tuple[float, float] = (0.0, 0.0)
    climb_known: bool = False
    """Whether any height came: without, the two ranges mean nothing."""
    began: Utc | None = None
    """Of the first usable fix, or when the leg was begun; None where no time was told."""
    jumps: int = 0
    """Breaks where the position leapt."""


NO_TOTALS = Totals()


class TripMeter:
    """Counts epochs in their order, in constant memory. For use by one thread at a time."""

    def __init__(self, state: State | None = None) -> None:
        """`state`: what to go on from."""
        found = state or State(NO_SUMS, [Leg()], None, None)
        self._legs, self._before, self._last = found.legs, found.before, found.last
        self._finished: tuple[Totals, ...] | None = None
        self._steps = Steps()
        self._speed = HeldSpeed()
        self._climb = Climb(found.sums.climbed)
        self._motion = Motion()
        sums = found.sums
        self._motion.distance_m, self._motion.moving_s, self._motion.stopped_s = sums.distance_m, *sums[1:3]
        self._motion.settle()
        self._gap_s, self._gaps, self._jumps = sums.gap_s, sums.gaps, sums.jumps
        self._restored = self._last is not None

    @classmethod
    def restored(cls, state: Mapping[str, Any]) -> TripMeter:
        """Goes on from what `state` gave, after a gap. Raises InputError where it cannot be one."""
        return cls(trip_state.from_json(state))

    def interrupt(self) -> None:
        """The way to the next epoch is not known, and not counted."""
        self._steps.interrupt()

    def take(self, fix: Fix, at_s: float, usable: bool) -> None:
        """The next epoch and its arrival (seconds, the source's clock); `usable`: a satellite fix to count by."""
        step = self._steps.take(fix, at_s, usable)
        if step is None:
            return
        if step.follows is Follows.GOES_ON:
            self._motion.go_on(step.sample)
        else:
            self._break(step, fix.utc)
        self._last = fix.utc or self._last
        self._climb.take(None if fix.dimensions == 2 else fix.altitude_m, step.seconds)  # 2: the height is assumed
        self._held(self._speed.take(fix.speed_mps))
        if self._legs[-1].began is None:
            self._legs[-1].began = fix.utc

    def finish(self) -> None:
        """The input has ended: what is left of the way, a few metres at most, is added."""
        self._motion.close()

    @property
    def begun(self) -> bool:
        """Whether any usable fix has come."""
        return self._steps.begun or self._restored

    def totals(self) -> Totals:
        """Of the whole trip, since the reset."""
        fastest = max((leg.fastest_mps for leg in self._legs if leg.fastest_mps is not None), default=None)
        return _between(self._legs[0], self._now(), fastest)

    def leg_totals(self) -> Totals:
        """Of the leg under way; the whole trip where no other was begun."""
        return _between(self._legs[-1], self._now(), self._legs[-1].fastest_mps)

    def legs(self) -> tuple[Totals, ...]:
        """Those that are over, oldest first."""
        if self._finished is None:
            ends = zip(self._legs, self._legs[1:], strict=False)
            self._finished = tuple(_between(leg, after.since, leg.fastest_mps) for leg, after in ends)
        return self._finished

    def new_leg(self) -> None:
        """The leg is over, another begins. Nothing where it has not lasted yet, or there are a thousand already."""
        leg, now = self._legs[-1], self._mark()
        if len(self._legs) < trip_state.MOST_LEGS and now != leg.since:
            self._legs.append(Leg(now, self._last))
            self._finished = None

    def reset(self) -> None:
        """A new trip begins; the one before is kept for `undo_reset`. Nothing where none has begun."""
        now = self._mark()
        if len(self._legs) > 1 or now != self._legs[0].since:
            self._before, self._legs, self._finished = self._legs, [Leg(now)], None

    def undo_reset(self) -> bool:
        """The trip as it was before the last reset, and with all that has come since; False where there was none."""
        if self._before is None:
            return False
        leg, since = self._before[-1], self._legs[0]
        self._held_by(leg, since.fastest_mps)
        leg.began = leg.began or since.began
        self._legs = [*self._before, *self._legs[1:]][: trip_state.MOST_LEGS]
        self._before = self._finished = None
        return True

    def state(self) -> dict[str, Any]:
        """All that has been counted, for JSON."""
        return trip_state.as_json(State(self._closed(), self._legs, self._before, self._last))

    def _break(self, step: Step, utc: Utc | None) -> None:
        self._motion.begin(step.sample)
        self._climb.begin()
        self._speed.begin()
        if step.follows is Follows.BEGINS:
            if self._last is not None:
                self._gaps += 1
                self._gap_s += _away_s(self._last, utc)
            return
        self._gap_s += step.seconds
        if step.follows is Follows.AFTER_JUMP:
            self._jumps += 1
        else:
            self._gaps += 1

    def _held(self, mps: float | None) -> None:
        if mps is not None:
            self._held_by(self._legs[-1], mps)

    @staticmethod
    def _held_by(leg: Leg, mps: float | None) -> None:
        if mps is not None and (leg.fastest_mps is None or mps > leg.fastest_mps):
            leg.fastest_mps = mps

    def _mark(self) -> Sums:
        """Where a leg begins: from here on, no time before is counted over."""
        self._motion.settle()
        self._speed.begin()
        return self._closed()

    def _now(self) -> Sums:
        """With the gap that is open."""
        open_s = self._steps.open_gap_s()
        sums = self._closed()
        return sums._replace(gap_s=sums.gap_s + open_s, gaps=sums.gaps + 1) if open_s else sums

    def _closed(self) -> Sums:
        motion, climbed = self._motion, self._climb.climbed()
        ways = motion.distance_m, motion.moving_s, motion.stopped_s
        return Sums(*ways, self._gap_s, self._gaps, self._jumps, climbed)


def _between(leg: Leg, now: Sums, fastest_mps: float | None) -> Totals:
    since = leg.since
    distance_m, moving_s = now.distance_m - since.distance_m, now.moving_s - since.moving_s
    ascent_m, descent_m = ranges(now.climbed, since.climbed)
    return Totals(
        distance_m=distance_m,
        moving_s=moving_s,
        stopped_s=now.stopped_s - since.stopped_s,
        gap_s=now.gap_s - since.gap_s,
        gaps=now.gaps - since.gaps,
        average_mps=distance_m / moving_s if moving_s >= LEAST_FOR_AVERAGE_S else None,
        fastest_mps=fastest_mps,
        ascent_m=ascent_m,
        descent_m=descent_m,
        climb_known=now.climbed.known,
        began=leg.began,
        jumps=now.jumps - since.jumps,
    )


def _away_s(before: Utc, after: Utc | None) -> float:
    """While fixboard did not run; 0 where nobody knows."""
    if after is None:
        return 0.0
    first, then = before.datetime(), after.datetime()
    if first is None or then is None:
        return clock_step_s(before, after)
    away_s = max(0.0, (then - first).total_seconds())
    return away_s if away_s < LONGEST_AWAY_S else 0.0
