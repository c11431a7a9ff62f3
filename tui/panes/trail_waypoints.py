"""The waypoints that are on the map, out of many thousands that are not."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from math import degrees, hypot
from typing import NamedTuple

from core.fix import Position
from core.map_view import MapView, Vector, is_place, vector
from tui.canvas.grid import Dot
from tui.panes.trail_marks import cell_of
from tui.panes.trail_view import NamedPlace

_DEGREE_RADIUS_M = 6_330_000.0
"""Below every radius of curvature along the meridian: a band that is never too narrow."""


class Shown(NamedTuple):
    """A waypoint on the map."""

    name: str
    position: Position
    dot: Dot


class WaypointsOnMap:
    """Remembers them as long as neither the map nor the list is another; the list is sorted by latitude once."""

    def __init__(self) -> None:
        self._listed: Sequence[NamedPlace] = ()
        self._latitudes: list[float] = []
        self._sorted: list[tuple[int, Vector]] = []
        """Number in the list, and where it is."""
        self._map: MapView | None = None
        self._shown: list[Shown] = []

    def on(self, shown: MapView, waypoints: Sequence[NamedPlace]) -> list[Shown]:
        """Those on this map, in the list's order; of several in one cell the first."""
        # A list made anew of the same places is looked through once, which is far cheaper than sorting it again.
        if waypoints is not self._listed and waypoints != self._listed:
            self._sort(waypoints)
            self._map = None
        self._listed = waypoints
        if shown is not self._map:
            self._map = shown
            self._shown = self._found(shown)
        return self._shown

    def _sort(self, waypoints: Sequence[NamedPlace]) -> None:
        places = ((place, n) for n, (_, place) in enumerate(waypoints) if is_place(place))
        order = sorted(places, key=lambda one: one[0].latitude_deg)
        self._latitudes = [place.latitude_deg for place, _ in order]
        self._sorted = [(n, vector(place)) for place, n in order]

    def _found(self, shown: MapView) -> list[Shown]:
        near = self._near(shown)
        dots = zip((n for n, _ in near), shown.dots(at for _, at in near), strict=True)
        right, bottom = shown.size[0] - 0.5, shown.size[1] - 0.5
        inside = sorted((n, dot) for n, dot in dots if -0.5 <= dot[0] < right and -0.5 <= dot[1] < bottom)
        by_cell = {cell_of(dot): (n, dot) for n, dot in reversed(inside)}
        return [Shown(*self._listed[n], dot) for n, dot in sorted(by_cell.values())]

    def _near(self, shown: MapView) -> list[tuple[int, Vector]]:
        """Those in the map's band of latitude."""
        latitude = shown.place(*shown.middle).latitude_deg
        # Twice the half diagonal: the map shrinks nothing below half its length before it holds the whole world.
        reach_deg = degrees(hypot(*shown.size) * shown.metres_per_dot / _DEGREE_RADIUS_M)
        first = bisect_left(self._latitudes, latitude - reach_deg)
        return self._sorted[first : bisect_right(self._latitudes, latitude + reach_deg)]
