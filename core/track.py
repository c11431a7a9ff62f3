"""The track: points as the rule asks for them, none without a usable fix, and none that pile up at rest.

Whether one moves is judged as for the totals (`core.moving`). A gap or a jump breaks the track: the next point begins a
segment, and nothing is drawn or summed from the one before.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from core.fix import Fix
from core.moving import SLOW_M, Motion
from core.places.geodesic import way
from core.samples import Sample, Xyz, earth_centred
from core.steps import Follows, Step, Steps
from core.track_points import TrackPoint, TrackPoints, TrackView
from core.track_rule import USUAL_RULE, TrackRule

__all__ = ["TrackLog", "TrackPoint", "TrackPoints", "TrackView"]

COURSE_M = 10.0
"""A course is told over this way: jitter of half a metre makes 4 degrees of it, one sigma (trade-facts.md b, calc)."""
SAME_PLACE_M = 5.0
"""Coming to rest this near the last point adds none."""


class TrackLog:
    """Keeps a track. Append-only: no point ever changes or goes."""

    def __init__(self, rule: TrackRule = USUAL_RULE) -> None:
        self._rule = rule
        self._points = TrackPoints()
        self._steps = Steps()
        self._motion = Motion()
        self._last: Sample | None = None
        self._last_xyz: Xyz | None = None
        self._course = _Course()
        self._begins = True

    def take(self, fix: Fix, at_s: float, usable: bool) -> TrackPoint | None:
        """The next epoch, its arrival, and whether it is a satellite fix to count by; the point that was added."""
        step = self._steps.take(fix, at_s, usable)
        if step is None or not self._is_due(step):
            return None
        sample = step.sample
        point = TrackPoint(sample.position, at_s, fix.utc, fix.altitude_m, self._begins)
        self._points.append(point)
        self._last, self._last_xyz, self._begins = sample, sample.xyz, False
        self._course.mark(sample)
        return point

    def use_rule(self, rule: TrackRule) -> None:
        """From the next epoch on; what is kept stays."""
        self._rule = rule

    def interrupt(self) -> None:
        """The next point begins a segment."""
        self._steps.interrupt()

    def view(self) -> TrackView:
        """The track so far."""
        return TrackView(self._points, len(self._points))

    def swap(self, points: TrackPoints) -> TrackPoints:
        """Go on with these, whatever was last known of the way; those that there were."""
        before, self._points = self._points, points
        return before

    def load(self, points: Sequence[TrackPoint]) -> None:
        """Go on from points that were kept; the next one begins a segment."""
        for point in points:
            self._points.append(point if self._points else point._replace(begins=True))
        if points:
            self._last_xyz = earth_centred(points[-1].position)
        self._begins = True

    def _is_due(self, step: Step) -> bool:
        sample = step.sample
        if step.follows is not Follows.GOES_ON:
            return self._is_due_after_break(sample)
        rested = not self._motion.moving
        self._motion.go_on(sample)
        self._course.take(sample)
        if not self._motion.moving:
            return not rested and not self._begins and self._away_m(sample) >= SAME_PLACE_M
        return self._begins or self._by_rule(sample)

    def _is_due_after_break(self, sample: Sample) -> bool:
        """At once where one is elsewhere now, at the same place when one moves.

        Reception that comes and goes at rest must not pile up points either.
        """
        self._motion.begin(sample)
        self._course = _Course()
        self._begins = True
        return self._last_xyz is None or self._away_m(sample) > SLOW_M

    def _away_m(self, sample: Sample) -> float:
        return math.inf if self._last_xyz is None else math.dist(self._last_xyz, sample.xyz)

    def _by_rule(self, sample: Sample) -> bool:
        rule, last = self._rule, self._last or sample
        return (
            (rule.every_s is not None and sample.at_s - last.at_s >= rule.every_s - 0.5)
            or (rule.every_m is not None and self._away_m(sample) >= rule.every_m)
            or (rule.turn_deg is not None and self._course.turned_deg() >= rule.turn_deg)
        )


class _Course:
    """The course over the last metres, and by how much it has changed since the last point."""

    def __init__(self) -> None:
        self._from: Sample | None = None
        self._now_deg: float | None = None
        self._marked_deg: float | None = None

    def take(self, sample: Sample) -> None:
        """Told anew each time that the way for it has been gone."""
        if self._from is None:
            self._from = sample
        elif math.dist(self._from.xyz, sample.xyz) >= COURSE_M:
            self._now_deg = way(self._from.position, sample.position).final_bearing_deg
            self._marked_deg = self._now_deg if self._marked_deg is None else self._marked_deg
            self._from = sample

    def mark(self, sample: Sample) -> None:
        """A point: turns are counted from here."""
        self._marked_deg = self._now_deg
        self._from = self._from or sample

    def turned_deg(self) -> float:
        """0 to 180; 0 where one of the courses is not known."""
        if self._now_deg is None or self._marked_deg is None:
            return 0.0
        return abs(math.remainder(self._now_deg - self._marked_deg, 360.0))
