"""How far it is back along the trail from here: gaps as straight lines, what has been walked back not at all."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from core.fix import Position
from core.places.geodesic import distance_m
from core.track import TrackPoint, TrackView

BESIDE_M = 40.0
"""So near an earlier stretch of the trail one is on it again: a few times a usable fix's error (common practice)."""
_METRES_PER_DEGREE = 111_195.0
"""Mean sphere: good to half a per cent, which is enough to say what is near."""


class WayBack(NamedTuple):
    """The way to the start of a trail."""

    distance_m: float
    """Never less than the straight line."""
    gaps: int
    gaps_m: float
    """Of that across gaps, as straight lines: the ground there is not known."""


class WayBackBook:
    """Lengths along one trail, kept as it grows."""

    def __init__(self) -> None:
        self._points: Sequence[TrackPoint] = ()
        self._along: list[float] = []
        self._gaps: list[float] = []
        """Length and gaps from the start to each point."""
        self._gap_counts: list[int] = []

    def from_here(self, view: TrackView, here: Position) -> WayBack | None:
        """The way from `here`; None without a trail.

        Near an earlier stretch of the trail, that is where the way back begins: who has walked out and most of the
        way home has little left to go.
        """
        self._follow(view)
        if not self._along:
            return None
        number = self._on_trail(here)
        straight_m = distance_m(here, self._points[0].position)
        aside_m = distance_m(here, self._points[number].position)
        length_m = max(straight_m, self._along[number] + aside_m)
        return WayBack(length_m, self._gap_counts[number], self._gaps[number])

    def _follow(self, view: TrackView) -> None:
        if view.points is not self._points or view.count < len(self._along):
            self._points, self._along, self._gaps, self._gap_counts = view.points, [], [], []
        for number in range(len(self._along), view.count):
            self._add(number)

    def _add(self, number: int) -> None:
        if number == 0:
            self._along, self._gaps, self._gap_counts = [0.0], [0.0], [0]
            return
        step_m = distance_m(self._points[number - 1].position, self._points[number].position)
        across = self._points[number].begins
        self._along.append(self._along[-1] + step_m)
        self._gaps.append(self._gaps[-1] + (step_m if across else 0.0))
        self._gap_counts.append(self._gap_counts[-1] + across)

    def _on_trail(self, here: Position) -> int:
        """The earliest point beside `here`, else the newest."""
        latitude, longitude = here
        east_m = _METRES_PER_DEGREE * math.cos(math.radians(latitude))
        for number in range(len(self._along)):
            place = self._points[number].position
            north = (place[0] - latitude) * _METRES_PER_DEGREE
            if abs(north) < BESIDE_M:
                east = ((place[1] - longitude + 180.0) % 360.0 - 180.0) * east_m
                if math.hypot(north, east) < BESIDE_M:
                    return number
        return len(self._along) - 1
