"""Go-to guidance from epoch to epoch: which goal, how it comes nearer, whether it has been reached.

The past is a value (`Journey`) and each epoch a pure step, so that an unfinished epoch can be looked at without a
trace. Only satellite fixes move it. A part that is broken (a gap, a jump, time going back) begins anew: never bridged.

A route that is followed by trail goes from goal to goal by the progress along it (`core.trail_path`), which never jumps
to another branch near by; closing speed and ETA are then those to its end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from core.arrival import FIXES_NEEDED, Look, arrived, known, look, passed_abeam, reached
from core.closing import Away, Window, closing_mps, eta_s, go_on
from core.fix import Fix
from core.going import NOT_GOING, Goal, Going, Route
from core.legs import Leg, leg_to
from core.samples import LONGEST_GAP_S, LONGEST_LOSS_S, Epoch, Joint, Sample, elapsed_s, join
from core.straight import NO_TRAIL, Trail, straight, walk_on
from core.trail_path import Path, left_from, next_point, onward_m

__all__ = ["NOT_GOING", "Goal", "Going", "Journey", "Navigator", "Route", "begin", "step"]
"""The records are at home in `core.going`; who takes a Navigator takes them along."""
_HOP_M = 50.0
"""Progress by more in one step is a short cut taken: no pace can be told across it."""


class Journey(NamedTuple):
    """All that is remembered on the way."""

    route: Route
    going: Going
    """As it is shown."""
    goal_index: int = 0
    """Of the goal gone to."""
    leg: Leg | None = None
    """None until the first fix, where the route has no start."""
    approached: bool = False
    """Whether the goal has been ahead on this leg: only then can it be passed."""
    newest: Sample | None = None
    lost: bool = False
    """Whether the receiver has said void, or estimated, since."""
    arrived: bool = False
    passed: tuple[str, ...] = ()
    row: tuple[Sample, ...] = ()
    """The newest samples in a row, as many as an arrival takes."""
    looks: tuple[Look, ...] = ()
    """Those, seen from the leg."""
    window: Window = ()
    trail: Trail = NO_TRAIL
    along_m: float = 0.0
    """Progress, where the route is followed by trail."""


class Navigator:
    """Guides along a route. One per source; epochs are given by one thread, the route may be set by any."""

    def __init__(self) -> None:
        self.route: Route | None = None
        """Where to go. A plain assignment changes it, None ends it; the next epoch takes it up and begins anew."""
        self._journey: Journey | None = None

    def take(self, fix: Fix, at_s: float, error_95_m: float | None) -> Going:
        """The next finished epoch: its fix, its arrival (seconds, the source's clock) and its 95 % error if known."""
        route = self.route
        if route is None:
            self._journey = None
            return NOT_GOING
        self._journey = step(self._on(route), (fix, at_s, error_95_m))
        return self._journey.going

    def look_ahead(self, moments: Sequence[Epoch]) -> Going:
        """As it will be after epochs that are not finished, oldest first; leaves no trace."""
        route = self.route
        if route is None:
            return NOT_GOING
        journey = self._on(route)
        for moment in moments:
            journey = step(journey, moment)
        return journey.going

    def _on(self, route: Route) -> Journey:
        """The journey along this route: another one than before begins now."""
        journey = self._journey
        return journey if journey is not None and journey.route is route else begin(route)


def begin(route: Route) -> Journey:
    """Nothing walked yet."""
    leg = leg_to(route.start, route.goals[0]) if route.start else None
    going = Going(
        route,
        leg_start=route.start,
        leg_length_m=leg.length_m if leg else None,
        goal_error_m=known(route.goals[0].error_95_m),
    )
    return Journey(route, going, leg=leg)


def step(journey: Journey, epoch: Epoch) -> Journey:
    """The journey after one more epoch."""
    fix = epoch[0]
    if not fix.is_satellite_fix:
        return _without_fix(journey, epoch) if fix.told else journey
    sample, joint = join(journey.newest, epoch, LONGEST_LOSS_S if journey.lost else LONGEST_GAP_S)
    if joint is Joint.TOO_SOON:
        return journey
    walked = _walked(_parted(journey, joint), sample)
    path = journey.route.path
    return _shown(_followed(walked, path) if path else _advanced(_closed(walked)))


def _without_fix(journey: Journey, epoch: Epoch) -> Journey:
    """Void or estimated: the row of fixes ends at once, the windows once it has lasted."""
    lost = journey._replace(lost=True, row=(), looks=())
    if journey.newest is None or abs(elapsed_s(journey.newest, epoch[0], epoch[1])) <= LONGEST_LOSS_S:
        return lost
    going = replace(journey.going, closing_mps=None, eta_s=None, track_course_deg=None, straight_m=0.0)
    return lost._replace(window=(), trail=NO_TRAIL, going=going)


def _parted(journey: Journey, joint: Joint) -> Journey:
    """Without what the next sample cannot go on from. After mere silence the row of fixes still is one."""
    if joint is Joint.GOES_ON:
        return journey
    apart = journey._replace(window=(), trail=NO_TRAIL)
    return apart if joint is Joint.APART else apart._replace(row=(), looks=())


def _walked(journey: Journey, sample: Sample) -> Journey:
    leg = journey.leg or leg_to(sample.position, journey.route.goals[journey.goal_index])
    seen = look(leg, sample)
    return journey._replace(
        leg=leg,
        approached=journey.approached or _is_ahead(leg, seen),
        newest=sample,
        lost=False,
        row=(*journey.row, sample)[-FIXES_NEEDED:],
        looks=(*journey.looks, seen)[-FIXES_NEEDED:],
        trail=walk_on(journey.trail, sample),
    )


def _closed(journey: Journey) -> Journey:
    """With the newest distance to the goal."""
    away = Away(journey.row[-1].at_s, journey.looks[-1].seen.distance_m)
    return journey._replace(window=go_on(journey.window, away))


def _is_ahead(leg: Leg, seen: Look) -> bool:
    return seen.seen.along_track_m is not None and seen.seen.along_track_m <= leg.length_m


def _advanced(journey: Journey) -> Journey:
    """The next leg where this goal is done; several at once where goals lie closer than the samples."""
    while journey.goal_index < len(journey.route.goals) - 1 and _is_done(journey):
        journey = _next_leg(journey)
    there = arrived(journey.arrived, journey.looks)
    if there and len(journey.passed) == journey.goal_index:
        journey = journey._replace(passed=(*journey.passed, journey.route.goals[journey.goal_index].name))
    return journey._replace(arrived=there)


def _is_done(journey: Journey) -> bool:
    return reached(journey.looks) or (journey.approached and passed_abeam(journey.looks))


def _next_leg(journey: Journey) -> Journey:
    """From the goal just reached. The newest samples are seen anew, from it; coming from its start, all lies ahead."""
    goals, index = journey.route.goals, journey.goal_index + 1
    leg = leg_to(goals[index - 1].position, goals[index])
    looks = tuple(look(leg, sample) for sample in journey.row)
    away = Away(journey.row[-1].at_s, looks[-1].seen.distance_m)
    passed = (*journey.passed, goals[index - 1].name)
    return journey._replace(goal_index=index, leg=leg, approached=True, looks=looks, window=(away,), passed=passed)


def _followed(journey: Journey, path: Path) -> Journey:
    """As far along the trail as all of the last fixes are: one stray fix moves nothing."""
    row, before_m = journey.row, journey.along_m
    if len(row) >= FIXES_NEEDED:
        journey = journey._replace(along_m=min(onward_m(path, before_m, one.xyz) for one in row))
    away = Away(row[-1].at_s, left_from(path, journey.along_m, row[-1].xyz))
    window = go_on(journey.window, away) if journey.along_m - before_m <= _HOP_M else (away,)
    journey = _on_leg(journey._replace(window=window), _trail_leg(journey, path))
    there = journey.goal_index == len(path.points) - 1 and arrived(journey.arrived, journey.looks)
    passed = (journey.route.goals[-1].name,) if there else journey.passed
    return journey._replace(arrived=there, passed=passed)


def _trail_leg(journey: Journey, path: Path) -> int:
    """Index of the goal ahead: the first until one has been there or beyond, the last from its circle on."""
    if path.length_m - journey.along_m <= journey.looks[-1].circle.radius_m:
        return len(path.points) - 1
    begun = journey.goal_index > 0 or journey.along_m > 0.0 or reached(journey.looks)
    return max(journey.goal_index, next_point(path, journey.along_m)) if begun else 0


def _on_leg(journey: Journey, index: int) -> Journey:
    """On the leg to this goal; the newest samples are seen anew from it."""
    if index == journey.goal_index:
        return journey
    goals = journey.route.goals
    leg = leg_to(goals[index - 1].position, goals[index])
    return journey._replace(goal_index=index, leg=leg, looks=tuple(look(leg, sample) for sample in journey.row))


def _shown(journey: Journey) -> Journey:
    """With what is shown of it."""
    seen, circle = journey.looks[-1].seen, journey.looks[-1].circle
    there = journey.arrived and not circle.too_coarse
    way_walked = straight(journey.trail)
    going = Going(
        route=journey.route,
        leg=journey.goal_index,
        leg_start=journey.leg.start if journey.leg else None,
        closing_mps=closing_mps(journey.window),
        eta_s=None if there else eta_s(journey.window),
        cross_track_m=seen.cross_track_m,
        along_track_m=seen.along_track_m,
        leg_length_m=journey.leg.length_m if journey.leg else None,
        radius_m=circle.radius_m,
        goal_error_m=circle.goal_error_m,
        here_error_m=circle.here_error_m,
        too_coarse=circle.too_coarse,
        arrived=there,
        passed=journey.passed,
        along_trail_m=journey.along_m if journey.route.path else None,
        track_course_deg=way_walked.course_deg,
        straight_m=way_walked.straight_m,
        needed_m=way_walked.needed_m,
    )
    return journey._replace(going=going)
