"""A way as a line of places, and how far along it a walker has come: the progress by which a trail is followed.

The nearest point of a trail is no answer: ways cross themselves, double and turn back beside themselves. So being
farther along than before has its price: of all places ahead the one is taken where the squared distance to the walker
and the squared advance, weighed, are least together. A walker on the trail is moved on by nine tenths of each step; to
be taken for being on another arm of a hairpin, or past a spur, he must stray farther than errors do. Progress never
goes back.

Distances beside the way are those of chords: between places 50 m apart the difference is nothing, across a gap of
10 km a chord runs 2 m deep (calc), which lies under every place of it alike.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from core.fix import Position
from core.places.geodesic import distance_m
from core.samples import Xyz, earth_centred

AHEAD_WEIGHT = 0.3
"""A metre farther along than before weighs as so many metres aside (own choice, no source; tests/core/
test_return_trail.py tries it). Arms 15 m apart then take an error of more than 7.5 m to be confused at all, and of 10 m
to be confused 7 m before the turn; who leaves out a loop of 600 m is taken up again 260 m after (calc)."""

ON_TRAIL_M = 20.0
"""Up to here errors of the trail and of the walker explain being beside it (common practice, no source: the least
radius of arrival)."""


class Path(NamedTuple):
    """A way, worked out once."""

    points: tuple[Xyz, ...]
    """Metres from the Earth's centre; at least one."""
    along_m: tuple[float, ...]
    """How far each lies from the first, along the way."""

    @property
    def length_m(self) -> float:
        """From the first place to the last."""
        return self.along_m[-1]


class _Stretch(NamedTuple):
    """A straight piece of the way, and the progress from which it is looked at."""

    start: Xyz
    end: Xyz
    begins_m: float
    length_m: float
    since_m: float


def path_through(places: Sequence[Position]) -> Path:
    """The way through these places, which must be on the globe; at least one."""
    steps = (distance_m(a, b) for a, b in pairwise(places))
    return Path(tuple(map(earth_centred, places)), tuple(accumulate(steps, initial=0.0)))


def onward_m(path: Path, along_m: float, here: Xyz) -> float:
    """Progress of a walker who was `along_m` along and is `here` now: the same or more.

    Only so far ahead is looked as could pay: 3.3 times the distance to where he was. Close to the trail that is a few
    stretches, and all of it only for who is as far away.
    """
    away_m = math.dist(place_at(path, along_m), here)
    if not math.isfinite(away_m):
        return along_m
    best = (away_m**2, along_m)
    for stretch in _ahead(path, along_m, along_m + away_m / AHEAD_WEIGHT):
        best = min(best, _best_of(stretch, here))
    return best[1]


def place_at(path: Path, along_m: float) -> Xyz:
    """The place so far along; the first or the last beyond the ends."""
    number = _number(path, along_m)
    if number + 1 >= len(path.points):
        return path.points[number]
    length_m = path.along_m[number + 1] - path.along_m[number]
    share = min(1.0, max(0.0, (along_m - path.along_m[number]) / length_m)) if length_m else 1.0
    return _between(path.points[number], path.points[number + 1], share)


def left_from(path: Path, along_m: float, here: Xyz) -> float:
    """Metres to the end along the way, and back to it first, as far as that is farther than errors explain."""
    off_m = math.dist(place_at(path, along_m), here)
    return path.length_m - along_m + max(0.0, off_m - ON_TRAIL_M)


def next_point(path: Path, along_m: float) -> int:
    """Index of the first point that lies ahead of this progress; of the last one at the end."""
    return min(bisect_right(path.along_m, along_m), len(path.points) - 1)


def _number(path: Path, along_m: float) -> int:
    """Of the stretch that progress is on."""
    return max(0, bisect_right(path.along_m, along_m) - 1)


def _ahead(path: Path, along_m: float, until_m: float) -> Iterator[_Stretch]:
    for number in range(_number(path, along_m), len(path.points) - 1):
        begins_m, ends_m = path.along_m[number], path.along_m[number + 1]
        if begins_m > until_m:
            return
        if ends_m > begins_m:
            yield _Stretch(path.points[number], path.points[number + 1], begins_m, ends_m - begins_m, along_m)


def _best_of(stretch: _Stretch, here: Xyz) -> tuple[float, float]:
    """The least cost on one stretch, and the progress there. A parabola of the share: its vertex, or the nearer end."""
    (ax, ay, az), (bx, by, bz), (x, y, z) = stretch.start, stretch.end, here
    ux, uy, uz = bx - ax, by - ay, bz - az
    weight = (AHEAD_WEIGHT * stretch.length_m) ** 2
    gone = (stretch.since_m - stretch.begins_m) / stretch.length_m
    along = ux * (x - ax) + uy * (y - ay) + uz * (z - az)
    share = (along + weight * gone) / (ux * ux + uy * uy + uz * uz + weight)
    share = min(1.0, max(0.0, gone, share))
    aside = math.dist((ax + share * ux, ay + share * uy, az + share * uz), here)
    return aside**2 + weight * (share - gone) ** 2, stretch.begins_m + share * stretch.length_m


def _between(a: Xyz, b: Xyz, share: float) -> Xyz:
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), a[2] + share * (b[2] - a[2]))
