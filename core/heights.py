"""Heights along the way, in a bounded number of bins however long the track grows.

Each bin keeps the lowest and the highest of a stretch of the way. When the bins are used up, neighbours are put
together and each is twice as long from then on: half of them or more are in use, and a point costs the same always.

The way counts by net displacement: a stretch is added when the position is `STEP_M` from where it was last added, so
that a receiver's noise at rest lengthens nothing. Gaps add nothing to it either: nobody knows the way through them.
"""

from __future__ import annotations

from math import dist, isfinite, nan
from typing import NamedTuple

from core.map_view import Vector, is_place, vector
from core.track import TrackPoint, TrackView

MOST_BINS = 1024
"""More than the dots across any terminal (common practice, no source)."""
STEP_M = 5.0
"""Above the wander of a receiver at rest over a minute or two (common practice, no source); a twentieth of what a
profile of a kilometre shows in one dot."""


class Bin(NamedTuple):
    """A stretch of the way."""

    low_m: float
    """NaN, as all heights here, where nothing is known of the stretch."""
    high_m: float
    first_m: float
    last_m: float
    broken: bool
    """The track, or what is known of its height, begins anew in it: no line leads here from before, and what is low in
    it and what is high need not be connected."""


UNKNOWN = Bin(nan, nan, nan, nan, broken=False)


class Heights:
    """Heights above sea level by distance along the track, brought up to date by `follow`."""

    def __init__(self) -> None:
        self._begin(TrackView((), 0))

    def _begin(self, track: TrackView) -> None:
        self._points = track.points
        self._taken = 0
        self._anchor: Vector | None = None
        self._broken = True
        self.bins: list[Bin] = []
        """In order; their first begins at 0 m."""
        self.bin_m = 1.0
        """How long each is."""
        self.length_m = 0.0
        """Of the way so far, gaps not counted."""
        self.newest: TrackPoint | None = None

    def follow(self, track: TrackView) -> bool:
        """Take what is new in a track, another track from its start, and tell whether anything was."""
        if track.points is not self._points or track.count < self._taken:
            self._begin(track)
        first, self._taken = self._taken, track.count
        for number in range(first, track.count):
            self._take(track.points[number])
        return first != track.count

    def _take(self, point: TrackPoint) -> None:
        self._broken |= point.begins
        if is_place(point.position):
            self._advance(vector(point.position), begins=point.begins)
            self.newest = point
            height_m = point.altitude_m
            if height_m is not None and isfinite(height_m):
                self._put(height_m)
            else:
                self._broken = True

    def _advance(self, at: Vector, *, begins: bool) -> None:
        moved_m = 0.0 if begins or self._anchor is None else dist(self._anchor, at)
        if begins or self._anchor is None or moved_m >= STEP_M:
            self.length_m += moved_m
            self._anchor = at

    def _put(self, height_m: float) -> None:
        while self.length_m >= MOST_BINS * self.bin_m:
            self._halve()
        number = int(self.length_m / self.bin_m)
        self.bins.extend([UNKNOWN] * (number + 1 - len(self.bins)))
        self.bins[number] = _joined(self.bins[number], Bin(height_m, height_m, height_m, height_m, self._broken))
        self._broken = False

    def _halve(self) -> None:
        if len(self.bins) % 2:
            self.bins.append(UNKNOWN)
        self.bins = [_joined(a, b) for a, b in zip(self.bins[::2], self.bins[1::2], strict=True)]
        self.bin_m *= 2


def _joined(a: Bin, b: Bin) -> Bin:
    """Both stretches as one. NaN gives way, whichever comes first."""
    broken = a.broken or b.broken
    if a.low_m != a.low_m:
        return b._replace(broken=broken)
    if b.low_m != b.low_m:
        return a._replace(broken=broken)
    return Bin(min(a.low_m, b.low_m), max(a.high_m, b.high_m), a.first_m, b.last_m, broken)


def columns(heights: Heights, count: int) -> list[Bin]:
    """The whole way in so many columns; UNKNOWN where no bin has its middle, or nothing is known."""
    found = [UNKNOWN] * count
    if heights.length_m <= 0:
        return [heights.bins[0] if heights.bins else UNKNOWN, *found[1:]][:count]
    share = heights.bin_m / heights.length_m
    for number, one in enumerate(heights.bins):
        column = min(count - 1, int((number + 0.5) * share * count))
        found[column] = _joined(found[column], one)
    return found
