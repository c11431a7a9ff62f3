"""A trip as it goes: its track and its totals together, for one source. Fed in one thread, asked in another."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from core.fix import Fix
from core.track import TrackLog, TrackPoint, TrackPoints, TrackView
from core.track_rule import USUAL_RULE, TrackRule
from core.trip import NO_TOTALS, Totals, TripMeter


class TripReport(NamedTuple):
    """What the screen shows of it."""

    track: TrackView
    totals: Totals = NO_TOTALS
    leg: Totals = NO_TOTALS
    """The leg that is under way."""
    legs: tuple[Totals, ...] = ()
    """Those that are over, oldest first."""


FRESH_M = 50.0
"""A trip shorter than this has hardly begun."""
NO_REPORT = TripReport(TrackView((), 0))


class Outing:
    """Track and totals. Every method may be called from any thread."""

    def __init__(self, rule: TrackRule = USUAL_RULE) -> None:
        """`rule`: when a point of the track is kept."""
        self._lock = threading.Lock()
        self._rule = rule
        self._meter = TripMeter()
        self._log = TrackLog(rule)
        self._before: TrackLog | None = None
        self.is_touched = False
        """Whether the user has begun a leg or reset the trip: then it is no longer what the receiver alone makes it."""

    def take(self, fix: Fix, at_s: float, *, usable: bool) -> None:
        """The next finished epoch; `usable`: a satellite fix that is good enough to count by."""
        with self._lock:
            self._meter.take(fix, at_s, usable)
            self._log.take(fix, at_s, usable)

    def interrupt(self) -> None:
        """Nothing is drawn or summed from here to the next epoch that counts."""
        with self._lock:
            self._meter.interrupt()
            self._log.interrupt()

    def use_rule(self, rule: TrackRule) -> None:
        """When a point is kept from now on; totals have nothing to do with it."""
        with self._lock:
            self._rule = rule
            self._log.use_rule(rule)

    def report(self) -> TripReport:
        """As of now. The track is shared, not copied: it only ever grows."""
        with self._lock:
            meter = self._meter
            return TripReport(self._log.view(), meter.totals(), meter.leg_totals(), meter.legs())

    def swap_track(self, points: TrackPoints) -> TrackPoints:
        """Go on with these points, all else as it is; those that there were (`core.checkpoint`)."""
        with self._lock:
            return self._log.swap(points)

    def new_leg(self) -> None:
        """The leg is over, another begins."""
        with self._lock:
            self.is_touched = True
            self._meter.new_leg()

    def reset(self) -> bool:
        """A new trip; False where there is nothing to end, or the last reset has hardly been walked on from.

        So a second press by mistake does not put a few metres in the place of a day.
        """
        with self._lock:
            fresh = self._before is not None and self._meter.totals().distance_m < FRESH_M
            if fresh or not (self._meter.begun or self._log.view().count):
                return False
            self.is_touched = True
            self._meter.reset()
            self._before, self._log = self._log, TrackLog(self._rule)
            return True

    def undo_reset(self) -> bool:
        """The trip as it was, and what has come since; False where nothing was reset."""
        with self._lock:
            if self._before is None:
                return False
            self._meter.undo_reset()
            self._log = _joined(self._rule, self._before.view(), self._log.view())
            self._before = None
            return True

    def state(self) -> dict[str, Any]:
        """The totals, for `restore`."""
        with self._lock:
            return self._meter.state()

    def restore(
        self, state: Mapping[str, Any] | None, points: Sequence[TrackPoint], before: Sequence[TrackPoint] = ()
    ) -> None:
        """Go on with a trip that was kept, `before`: the track before its reset. Raises InputError for a bad state."""
        meter = TripMeter.restored(state) if state else TripMeter()
        with self._lock:
            self._meter = meter
            self._log = TrackLog(self._rule)
            self._log.load(points)
            self._before = TrackLog(self._rule) if before else None
            if self._before:
                self._before.load(before)


def _joined(rule: TrackRule, before: TrackView, since: TrackView) -> TrackLog:
    log = TrackLog(rule)
    log.load([*before.points[: before.count], *since.points[: since.count]])
    return log
