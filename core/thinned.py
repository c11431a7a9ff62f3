"""A track in levels of detail, so that a map of it costs by the map's size and not by the track's length.

Each level keeps a point when it lies a step away from the last it kept, out of what the level below it kept. So every
point of the track is nearer than twice the step to one that is kept, and adding one costs the same however long the
track is. Segments stay apart: the first point of each is in every level.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import dist

from core.map_view import MapView, Vector, is_place, vector
from core.track import TrackView

LEVELS_M = tuple(2.0**power for power in range(11))
"""1, 2, 4, ... 1024 m."""
_CHUNK = 128
"""Entries that are skipped or drawn together: few enough to be near each other, enough to make the asking cheap."""
_OUTLINE = 100
"""Entries from which on a level tells how far the track reaches: finer ones tell it by less than a hundredth better."""

Entry = Vector | None
"""A point, or None between two segments."""


class _Ball:
    """Holds a chunk: everything in it is within `reach_m` of `centre`."""

    __slots__ = ("centre", "reach_m")

    def __init__(self) -> None:
        self.centre: Entry = None
        self.reach_m = 0.0

    def include(self, at: Vector) -> None:
        if self.centre is None:
            self.centre = at
        else:
            self.reach_m = max(self.reach_m, dist(self.centre, at))


class Level:
    """The track at one step. Append-only."""

    __slots__ = ("_balls", "entries", "step_m")

    def __init__(self, step_m: float) -> None:
        self.step_m = step_m
        self.entries: list[Entry] = []
        self._balls: list[_Ball] = []

    def take(self, at: Vector, *, begins: bool) -> bool:
        """Keep the point if it begins a segment or is a step away from the last one, and tell whether it was kept."""
        last = self.entries[-1] if self.entries else None
        if not begins and last is not None and dist(last, at) < self.step_m:
            return False
        if begins and self.entries:
            self._append(None)
        self._append(at)
        return True

    def _append(self, entry: Entry) -> None:
        before = self.entries[-1] if self.entries else None
        if len(self.entries) % _CHUNK == 0:
            self._balls.append(_Ball())
        self.entries.append(entry)
        # The line that leads to it belongs to its chunk.
        for at in (entry, before):
            if at is not None and entry is not None:
                self._balls[-1].include(at)

    def seen(self, view: MapView) -> Iterator[list[Entry]]:
        """Stretches of the track that may be on the map; each begins with the point from which its first line comes."""
        for number, ball in enumerate(self._balls):
            if ball.centre is not None and view.may_show(ball.centre, ball.reach_m):
                yield self.entries[max(0, number * _CHUNK - 1) : (number + 1) * _CHUNK]


class Thinned:
    """All levels of a track, brought up to date by `follow`."""

    def __init__(self) -> None:
        self._begin(TrackView((), 0))
        self.restarts = 0
        """Counts up when another track has taken the place of the one before: nothing drawn so far is any good."""

    def _begin(self, track: TrackView) -> None:
        self._points = track.points
        self._taken = 0
        self._broken = True
        self.levels = tuple(Level(step) for step in LEVELS_M)
        self.tip: Entry = None
        """The newest point, kept by a level or not; None before the first."""

    def follow(self, track: TrackView) -> None:
        """Take what is new in a track; another track, or one that has become shorter, is begun from its start."""
        if track.points is not self._points or track.count < self._taken:
            self._begin(track)
            self.restarts += 1
        for number in range(self._taken, track.count):
            point = track.points[number]
            self._broken |= point.begins
            if is_place(point.position):
                self._take(vector(point.position))
        self._taken = max(self._taken, track.count)

    def _take(self, at: Vector) -> None:
        begins, self._broken, self.tip = self._broken, False, at
        for level in self.levels:
            if not level.take(at, begins=begins):
                return

    def level_for(self, metres_per_dot: float) -> Level:
        """The level just under the size of a dot; the finest where dots are finer still."""
        fitting = [level for level in self.levels if level.step_m <= metres_per_dot]
        return fitting[-1] if fitting else self.levels[0]

    def outline(self) -> tuple[list[Vector], float]:
        """Few points that tell how far the track reaches, and how many metres it may reach beyond them."""
        level = next((one for one in reversed(self.levels) if len(one.entries) >= _OUTLINE), self.levels[0])
        kept = [entry for entry in level.entries if entry is not None]
        return (kept if self.tip is None else [*kept, self.tip]), level.step_m * 2
