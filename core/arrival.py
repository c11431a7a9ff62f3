"""Whether a goal has been reached, or passed: never surer than the mark and the position are.

All figures but the last two are those of trade-facts.md f, which calls them common practice.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from core.legs import Leg, Seen, seen_from
from core.samples import Sample

LEAST_RADIUS_M = 20.0
RADIUS_OVER_ERROR = 2.0
LEAVE_AT_RADII = 1.5
"""Left again only beyond this: no flicker at the edge."""
FIXES_NEEDED = 3
"""In a row: one stray fix is no arrival."""
ABEAM_RADII = 3.0
"""Passing the goal this near beside the leg counts as having been there: who takes the other side of a pond is not
sent back (common practice, no source)."""
TOO_COARSE_M = 50.0
"""The position is doubtful from there on (`core.trust_rules`), and the radius would be 100 m: nothing that a walker
would call arrived (common practice, no source)."""


class Circle(NamedTuple):
    """The circle of arrival, made of two 95 % errors. Independent errors add as squares; an unknown one as nothing."""

    goal_error_m: float | None
    here_error_m: float | None

    @property
    def error_m(self) -> float:
        """Both together."""
        return math.hypot(self.goal_error_m or 0.0, self.here_error_m or 0.0)

    @property
    def radius_m(self) -> float:
        """Within this of the mark is arrived."""
        return max(LEAST_RADIUS_M, RADIUS_OVER_ERROR * self.error_m)

    @property
    def too_coarse(self) -> bool:
        """Whether arrival cannot be told."""
        return self.error_m > TOO_COARSE_M


class Look(NamedTuple):
    """One sample as seen from the leg."""

    seen: Seen
    circle: Circle
    inside: bool
    abeam: bool
    """Beyond the leg's end, and near enough beside it."""

    @property
    def outside(self) -> bool:
        """Far enough out to have left."""
        return self.seen.distance_m > LEAVE_AT_RADII * self.circle.radius_m


def look(leg: Leg, sample: Sample) -> Look:
    """How a sample lies to the leg's goal."""
    circle = Circle(known(leg.goal.error_95_m), sample.error_95_m)
    seen = seen_from(leg, sample.position)
    tells = not circle.too_coarse
    return Look(seen, circle, tells and seen.distance_m <= circle.radius_m, tells and _abeam(leg, seen, circle))


def known(error_m: float | None) -> float | None:
    """An error of a mark as read from somewhere: figures that are none are unknown."""
    return error_m if error_m is not None and 0.0 <= error_m < math.inf else None


def _abeam(leg: Leg, seen: Seen, circle: Circle) -> bool:
    if seen.along_track_m is None or seen.cross_track_m is None:
        return False
    return seen.along_track_m > leg.length_m and abs(seen.cross_track_m) <= ABEAM_RADII * circle.radius_m


def reached(looks: tuple[Look, ...]) -> bool:
    """Whether the last looks, as many as are needed, were all inside."""
    return len(looks) >= FIXES_NEEDED and all(one.inside for one in looks[-FIXES_NEEDED:])


def passed_abeam(looks: tuple[Look, ...]) -> bool:
    """Whether they were all beyond the leg's end and near beside it."""
    return len(looks) >= FIXES_NEEDED and all(one.abeam for one in looks[-FIXES_NEEDED:])


def arrived(before: bool, looks: tuple[Look, ...]) -> bool:
    """At the goal after the newest look, coming from `before`."""
    return (before and not looks[-1].outside) or reached(looks)
