"""Which part of the world the map shows.

A map that moves at every epoch cannot be read, and every row of it has to be written again. So the map stays where it
is until the position leaves its middle, or, when it shows everything, until something leaves it.
"""

from __future__ import annotations

from collections.abc import Iterator

from core.fix import Position
from core.map_view import DOT_STEPS_M, MapView, Plane, Vector, is_place, position_of, vector
from core.thinned import Thinned
from tui.panes.trail_view import TrailView

KEPT = 0.6
"""The middle share of width and height that the followed position may move in (terminal-drawing measurements, ours)."""
_FILLED = 0.8
"""Share of width and height that everything takes at most when the map is fitted anew."""
_FULL = 0.94
"""Beyond this share it is too near the edge. Far above `_FILLED`, so that a growing track seldom moves the map."""
_FIT_STEPS_M = tuple(f * 10.0**power for power in range(6) for f in (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8))
"""Metres to the dot of a fitted map, in finer steps than the others: a step too far leaves half of the map empty. From
a metre on: closer up there is nothing but the receiver's noise."""
_SLACK = 1e-6

Box = tuple[float, float, float, float]
"""West, south, east and north ends in metres on a plane."""


class Framing:
    """Remembers the map from frame to frame."""

    def __init__(self) -> None:
        self.map: MapView | None = None
        self._made_for: object = None

    def frame(self, view: TrailView, size: tuple[int, int], thinned: Thinned) -> MapView | None:
        """The map for this view in so many dots, the same object as before wherever it may stay; None: nowhere yet."""
        made_for = (
            size,
            view.zoom,
            view.pan,
            _fitted_to(view, thinned) if view.zoom is None and view.pan is None else None,
        )
        if self.map is None or made_for != self._made_for or not self._may_stay(self.map, view, thinned):
            self.map = self._made(view, size, thinned)
            self._made_for = made_for
        return self.map

    def _may_stay(self, shown: MapView, view: TrailView, thinned: Thinned) -> bool:
        if view.pan is not None:
            return True
        if view.zoom is not None:
            followed = _followed(view)
            return followed is None or shown.holds(shown.dot(vector(followed)), KEPT)
        newest = [thinned.tip] if thinned.tip is not None else []
        return all(shown.holds(shown.dot(at), _FULL) for at in (*_shown_places(view), *newest))

    def _made(self, view: TrailView, size: tuple[int, int], thinned: Thinned) -> MapView | None:
        if view.zoom is None and (view.pan is None or self.map is None):
            fitted = _fitted(view, size, thinned)
            return fitted if fitted is None or view.pan is None else fitted.moved(*view.pan)
        step_m = self._step_m(view.zoom)
        if view.pan is not None and self.map is not None:
            return MapView(self.map.plane, step_m, size, view.pan)
        middle = _followed(view) or self._without_position(view, size, thinned)
        return None if middle is None else MapView(Plane(middle), step_m, size, view.pan or (0.0, 0.0))

    def _step_m(self, zoom: int | None) -> float:
        """Without a zoom, that of the map as it was fitted last."""
        if zoom is None and self.map is not None:
            return self.map.metres_per_dot
        return DOT_STEPS_M[min(max(zoom or 0, 0), len(DOT_STEPS_M) - 1)]

    def _without_position(self, view: TrailView, size: tuple[int, int], thinned: Thinned) -> Position | None:
        """Stay where the map was, else show the middle of what there is."""
        shown = self.map or _fitted(view, size, thinned)
        return None if shown is None else shown.place(*shown.middle)


def _followed(view: TrailView) -> Position | None:
    return view.here or (view.held[1] if view.held is not None else None)


def _fitted_to(view: TrailView, thinned: Thinned) -> object:
    """What makes a fitted map be fitted again when it becomes another."""
    return view.target, view.held, len(view.back), *view.back[:1], *view.back[-1:], thinned.restarts


def _shown_places(view: TrailView) -> Iterator[Vector]:
    """What must be on a fitted map besides the track."""
    named = [place[1] for place in (view.target, view.held) if place is not None]
    here = [view.here] if view.here is not None else []
    return map(vector, (*here, *named, *(place for place in view.back if is_place(place))))


def _fitted(view: TrailView, size: tuple[int, int], thinned: Thinned) -> MapView | None:
    track, slack_m = thinned.outline()
    points = [*track, *_shown_places(view)]
    if not points:
        # Nothing but waypoints: they are what there is to see.
        points, slack_m = [vector(place) for _, place in view.waypoints if is_place(place)], 0.0
    return _around(points, slack_m if track else 0.0, size) if points else None


def _around(points: list[Vector], slack_m: float, size: tuple[int, int]) -> MapView:
    """The closest map of all the points: a plane at the first of them tells the middle, one at the middle the scale."""
    first = Plane(position_of(points[0]))
    west, south, east, north = _box(first, points)
    plane = Plane(first.position((west + east) / 2, (south + north) / 2))
    west, south, east, north = _box(plane, points)
    needed_m = max(
        2 * (max(east, -west) + slack_m) / (size[0] * _FILLED),
        2 * (max(north, -south) + slack_m) / (size[1] * _FILLED),
    )
    step_m = next((step for step in _FIT_STEPS_M if step >= needed_m * (1 - _SLACK)), _FIT_STEPS_M[-1])
    return MapView(plane, step_m, size)


def _box(plane: Plane, points: list[Vector]) -> Box:
    found = plane.all_east_north(points)
    east, north = [one[0] for one in found], [one[1] for one in found]
    return min(east), min(north), max(east), max(north)
