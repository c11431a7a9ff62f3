"""What if there were a cliff, a street, a higher horizon, one satellite or one system less: the same sky, thinned out.

Nothing here is measured. It answers a question about the satellites that the receiver has in its fix at this moment:
with fewer of them, what would the dilution be? Which satellites a receiver would take instead, nobody can tell.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from core.fix import Satellite
from core.geometry import Cost, Dops, Sight, costs, dops, sights_in_fix

LEVEL_DEG = 1e-6
"""An edge no higher than this is the horizon: what rounding makes of it, straight along a street."""


@dataclass(frozen=True, slots=True)
class Cliff:
    """A long straight wall on one side."""

    towards_deg: float
    """Direction in which it is nearest, from true north."""
    height_deg: float
    """Elevation of its edge there, 0 to 90 (90 excluded)."""

    def skyline_deg(self, azimuth_deg: float) -> float:
        """Elevation of its edge in a direction: a level edge falls off to the sides, tan(el) = tan(height) cos(off)."""
        off = math.cos(math.radians(azimuth_deg - self.towards_deg))
        return math.degrees(math.atan(math.tan(math.radians(self.height_deg)) * off)) if off > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class Street:
    """Walls on both sides of a long street, seen from its middle."""

    axis_deg: float
    """Along it, from true north, one way or the other."""
    wall_deg: float
    """Elevation of the walls' edge straight across, 0 to 90 (90 excluded)."""

    def skyline_deg(self, azimuth_deg: float) -> float:
        """Elevation of the edge in a direction, 0 along the street."""
        across = abs(math.sin(math.radians(azimuth_deg - self.axis_deg)))
        return math.degrees(math.atan(math.tan(math.radians(self.wall_deg)) * across))


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What is imagined; the default is nothing."""

    mask_deg: float = 0.0
    """Elevation below which nothing is seen, all round; at 0 there is no mask."""
    cliff: Cliff | None = None
    street: Street | None = None
    dropped: frozenset[str] = frozenset()
    """Satellites, by their names in RINEX."""
    dropped_systems: frozenset[str] = frozenset()
    """System letters."""

    @property
    def is_nothing(self) -> bool:
        """Whether the sky is as it is."""
        return self == AS_RECEIVED

    def skyline_deg(self, azimuth_deg: float) -> float:
        """How high a direction is closed, 0 where it is open."""
        walls = [wall.skyline_deg(azimuth_deg) for wall in (self.cliff, self.street) if wall]
        return max(self.mask_deg, *walls, 0.0)

    def hides(self, sight: Sight) -> str:
        """Why a satellite would be lost, in a word; empty where it would not."""
        if sight.name in self.dropped:
            return "dropped"
        if sight.system in self.dropped_systems:
            return "system dropped"
        if _is_under(sight, self.mask_deg):
            return "below the mask"
        if self.cliff and _is_under(sight, self.cliff.skyline_deg(sight.azimuth_deg)):
            return "behind the cliff"
        if self.street and _is_under(sight, self.street.skyline_deg(sight.azimuth_deg)):
            return "behind the houses"
        return ""


def _is_under(sight: Sight, edge_deg: float) -> bool:
    """An edge at the horizon hides nobody: seen from a hill, satellites in the fix stand below it."""
    return edge_deg > LEVEL_DEG and sight.elevation_deg < edge_deg


AS_RECEIVED = WhatIf()


class Lost(NamedTuple):
    """A satellite that would not be there."""

    sight: Sight
    why: str


class Outcome(NamedTuple):
    """What it would come to."""

    kept: tuple[Sight, ...] = ()
    lost: tuple[Lost, ...] = ()
    dops: Dops | None = None
    """Of those that are kept."""
    before: Dops | None = None
    """Of all that are in the fix."""
    ranking: tuple[Cost, ...] = ()
    """What losing each of those kept would cost, dearest first."""
    reason: str = ""
    """Why there are no figures, where there are none."""


def what_if(satellites: Iterable[Satellite], change: WhatIf) -> Outcome:
    """The sky in the fix as it would be."""
    sights = sights_in_fix(satellites)
    why = {one.name: change.hides(one) for one in sights}
    kept = tuple(one for one in sights if not why[one.name])
    lost = tuple(Lost(one, why[one.name]) for one in sights if why[one.name])
    found, before = dops(kept), dops(sights)
    return Outcome(kept, lost, found, before, costs(kept), _reason(sights, kept, found))


def _reason(sights: tuple[Sight, ...], kept: tuple[Sight, ...], found: Dops | None) -> str:
    if found is not None:
        return ""
    if not sights:
        return "no satellite in the fix whose direction is told"
    systems = len({one.clock for one in kept})
    needed = 3 + max(1, systems)
    if len(kept) < needed:
        clocks = "its clock" if systems <= 1 else f"{systems} clocks"
        return f"{len(kept)} left, {needed} needed: three for the place, {needed - 3} for {clocks}"
    return f"{len(kept)} left, but from where they stand they do not tell place and clock apart"
