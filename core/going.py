"""A route, and what is known on the way: the records of go-to guidance. `core.navigator` makes them."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import NamedTuple

from core.errors import InputError
from core.fix import Position
from core.trail_path import Path, path_through


class Goal(NamedTuple):
    """A place to go to."""

    name: str
    """As the user has it: clean before showing."""
    position: Position
    error_95_m: float | None = None
    """How far off the mark itself may be, 95 %; None where nobody knows."""
    across_gap: bool = False
    """Of a recorded trail: between the goal before and this one the track has a gap, and the leg is a guess."""


@dataclass(frozen=True, slots=True, eq=False)
class Route:
    """Goals in the order in which they are gone to. Compared by identity: the same goals again are a new journey.

    Raises InputError without a goal, or where a place is not on the globe.
    """

    goals: tuple[Goal, ...]
    start: Position | None = None
    """Where the first leg began, if known; else it begins at the first satellite fix."""
    by_trail: bool = False
    """Followed by progress along it (`core.trail_path`): a goal gives way to the next when the walker's progress has
    passed it, not when he is near. For goals closer than the circles of arrival, on ways that double and turn back."""
    path: Path | None = field(init=False, repr=False, default=None)
    """The way through the goals, where it is followed by progress."""

    def __post_init__(self) -> None:
        if not self.goals:
            raise InputError("a route needs a goal: pick a waypoint first")
        for number, goal in enumerate(self.goals, 1):
            if not _on_the_globe(goal.position):
                raise InputError(f"goal {number} is not on the globe: correct its latitude and longitude")
        if self.start is not None and not _on_the_globe(self.start):
            raise InputError("the start is not on the globe: correct its latitude and longitude")
        if self.by_trail:
            # Worked out once; the one way to set a field of a frozen dataclass.
            object.__setattr__(self, "path", path_through([goal.position for goal in self.goals]))


def _on_the_globe(position: Position) -> bool:
    """NaN is nowhere: it compares false."""
    return abs(position.latitude_deg) <= 90.0 and math.isfinite(position.longitude_deg)


@dataclass(frozen=True, slots=True)
class Going:
    """Where on the route, as of the newest sample: a satellite fix, less than a second older than the newest epoch."""

    route: Route | None = None
    """None: not going anywhere, and nothing else here means anything."""
    leg: int = 0
    """Index of the goal now gone to; stays at the last."""
    leg_start: Position | None = None
    """None until the first satellite fix, where the route has no start."""
    closing_mps: float | None = None
    """Mean rate at which the distance to the goal fell over the last minute (`core.closing`); negative: it grew.
    None with less than 10 s to tell it from. On a trail: the distance along it to its end."""
    eta_s: float | None = None
    """Seconds to the goal (on a trail: to its end) at that rate. None with less than 30 s to tell it from, when not
    closing, and on arrival."""
    cross_track_m: float | None = None
    """Beside the leg, right of it positive. None where the leg is too short to have a direction."""
    along_track_m: float | None = None
    """From the leg's start to the foot of the perpendicular: negative behind the start, beyond the length when past."""
    leg_length_m: float | None = None
    radius_m: float | None = None
    """Within this of the mark is arrived (`core.arrival`): say "within so many metres of the mark", not "there"."""
    goal_error_m: float | None = None
    """95 % error of the mark, as the radius was made of it. None is unknown, and counted as nothing."""
    here_error_m: float | None = None
    """95 % error of the position, likewise."""
    too_coarse: bool = False
    """Both errors together exceed 50 m: arrival cannot be told, and is not claimed."""
    arrived: bool = False
    """At the last goal. Goals before it give way to the next at once, and stand in `passed`."""
    passed: tuple[str, ...] = ()
    """Names of the goals reached, or passed abeam, so far. On a trail only the last, once there."""
    along_trail_m: float | None = None
    """Progress on a route that is followed by trail: from its first goal, 0 until then. It never falls."""
    track_course_deg: float | None = None
    """Direction of travel from the track itself (`core.straight`), true, 0 to below 360; None standing or turning."""
    straight_m: float = 0.0
    """How far of `needed_m` has been walked straight, up to that; 0 standing."""
    needed_m: float | None = 20.0
    """How far must be walked straight for a course; None: the position is too coarse to tell one so."""


NOT_GOING = Going()
