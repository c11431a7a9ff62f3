"""Where one stood long enough for the fixes' scatter to be looked at.

Standing is judged as for the totals (`core.moving`). Of the last minute before one is seen to move, what lies farther
out than anything before is left out: the first steps are in it. A stop that a gap interrupts goes on where it comes
back at the same place.
"""

from __future__ import annotations

import heapq
import math
from typing import NamedTuple

from core.averaging import SiteAverage, SiteSample, average
from core.fix import Position, Utc
from core.map_view import Plane, vector
from core.moving import SLOW_M, SLOW_S, Motion
from core.samples import earth_centred
from core.steps import Follows, Step

LEAST_S = 180.0
"""Shorter stops say little of how errors wander (our own choice)."""
MOST_STOPS = 4
"""The longest are shown."""
MOST_SAMPLES = 14_400
"""Four hours at one a second; beyond, every second one goes, and half as many are taken."""
MOST_DOTS = 1500


class Stop(NamedTuple):
    """One of them."""

    at_s: float
    began: Utc | None
    seconds: float
    average: SiteAverage
    middle: Position
    """The mean."""
    dots: tuple[tuple[float, float], ...]
    """Metres east and north of the mean; evenly thinned."""


class _Standing:
    """A stop under way."""

    def __init__(self, at_s: float, utc: Utc | None, origin: Position) -> None:
        self.at_s, self.utc = at_s, utc
        self.xyz = earth_centred(origin)
        self.plane = Plane(origin)
        self.samples: list[SiteSample] = []
        self.clock_s = 0.0
        self._least_s = 0.0

    def add(self, step: Step, height_m: float | None) -> None:
        self.clock_s += step.seconds
        if self.samples and self.clock_s - self.samples[-1].t_s < self._least_s:
            return
        east_m, north_m = self.plane.east_north(vector(step.sample.position))
        self.samples.append(SiteSample(self.clock_s, east_m, north_m, height_m))
        if len(self.samples) > MOST_SAMPLES:
            self.samples = self.samples[::2]
            self._least_s = max(1.5, 2 * self._least_s)

    def until_left(self) -> list[SiteSample]:
        """Up to the last that is no farther from the mean of those before the last minute than they are."""
        before = [one for one in self.samples if one.t_s <= self.clock_s - SLOW_S]
        if not before:
            return []
        east, north = (math.fsum(axis) / len(before) for axis in zip(*(one[1:3] for one in before), strict=True))
        reach = max(math.hypot(one.east_m - east, one.north_m - north) for one in before)
        return self.samples[: _last_within(self.samples, (east, north), reach) + 1]


class Stops:
    """Takes the steps of a trip."""

    def __init__(self) -> None:
        self._motion = Motion()
        self._standing: _Standing | None = None
        self._longest: list[tuple[float, float, Stop]] = []
        self.count = 0
        """Of all that were long enough."""

    def take(self, step: Step, utc: Utc | None, at_s: float, height_m: float | None) -> None:
        """The next, with what its epoch told; `at_s` on the recording's clock."""
        if step.follows is Follows.GOES_ON:
            self._motion.go_on(step.sample)
        else:
            self._motion.begin(step.sample)
        if self._motion.moving:
            self._end(left=True)
        else:
            self._stand(step, utc, at_s, height_m)

    def finish(self) -> None:
        """The recording has ended."""
        self._end()

    def longest(self) -> tuple[Stop, ...]:
        """Those that are shown, in the order of time."""
        return tuple(sorted((one[2] for one in self._longest), key=lambda stop: stop.at_s))

    def _stand(self, step: Step, utc: Utc | None, at_s: float, height_m: float | None) -> None:
        if self._standing and math.dist(self._standing.xyz, step.sample.xyz) > SLOW_M:
            self._end()  # a gap, or a leap, has led elsewhere
        if self._standing is None:
            self._standing = _Standing(at_s, utc, step.sample.position)
        self._standing.add(step, height_m)

    def _end(self, *, left: bool = False) -> None:
        standing, self._standing = self._standing, None
        if standing is None:
            return
        samples = standing.until_left() if left else standing.samples
        if not samples or samples[-1].t_s < LEAST_S:
            return
        self.count += 1
        seconds = samples[-1].t_s
        if len(self._longest) < MOST_STOPS or seconds > self._longest[0][0]:
            heapq.heappush(self._longest, (seconds, standing.at_s, _stop(standing, samples)))
            self._longest = heapq.nlargest(MOST_STOPS, self._longest)[::-1]


def _last_within(samples: list[SiteSample], middle: tuple[float, float], reach_m: float) -> int:
    """The last index of one that near; -1 for none."""
    near = (
        number
        for number in range(len(samples) - 1, -1, -1)
        if math.hypot(samples[number].east_m - middle[0], samples[number].north_m - middle[1]) <= reach_m
    )
    return next(near, -1)


def _stop(standing: _Standing, samples: list[SiteSample]) -> Stop:
    found = average(samples)
    centre = found.centre
    east_m, north_m = (centre.east_m, centre.north_m) if centre else (0.0, 0.0)
    left_out = set(found.outliers)
    kept = [one for index, one in enumerate(samples) if index not in left_out]
    every = max(1, math.ceil(len(kept) / MOST_DOTS))
    dots = tuple((one.east_m - east_m, one.north_m - north_m) for one in kept[::every])
    middle = standing.plane.position(east_m, north_m)
    return Stop(standing.at_s, standing.utc, samples[-1].t_s, found, middle, dots)
