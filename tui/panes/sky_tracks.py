"""The ways of the satellites over the session, under their places of now."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from math import hypot

from core.sky_memory import TrackPlace
from tui.canvas.grid import Dot, Grid
from tui.canvas.inks import SIGNAL_INKS, signal_step
from tui.panes.dial import Dial
from tui.panes.sky_base import Base

STRIDE = 1 / 9
"""Of the radius: ten degrees. Satellites move by half a degree a minute (from their periods of about twelve hours), and
a track breaks after ten minutes: a longer step is damage, and no line is drawn over it."""
Tracks = Mapping[str, Sequence[TrackPlace]]


class TrackRaster:
    """The tracks as drawn so far: hours of them are drawn once, then only what has come since."""

    def __init__(self) -> None:
        self._grid = Grid(0, 0)
        self._of: Hashable = None
        self._drawn: dict[str, tuple[int, TrackPlace]] = {}
        """By name: how many places, and the last of them."""

    def bring(self, base: Base, up_deg: float, tracks: Tracks) -> Grid:
        """The plot with all tracks; copy it, never draw into it."""
        of = (base.grid.width, base.grid.height, round(up_deg) % 360)
        if of != self._of or not all(self._goes_on(name, tracks.get(name, ())) for name in self._drawn):
            self._grid, self._of = Grid(base.grid.width, base.grid.height), of
            self._grid.copy_from(base.grid)
            self._drawn.clear()
        for name, places in tracks.items():
            self._draw_new(name, places, (base.dial, up_deg))
        return self._grid

    def _goes_on(self, name: str, places: Sequence[TrackPlace]) -> bool:
        """Whether a track only grew: a long one is thinned now and then, and a new source has others."""
        count, last = self._drawn[name]
        return len(places) >= count and places[count - 1] == last

    def _draw_new(self, name: str, places: Sequence[TrackPlace], where: tuple[Dial, float]) -> None:
        count, before = self._drawn.get(name, (0, None))
        for place in places[count:]:
            self._draw_step(before, place, where)
            before = place
        if before is not None:
            self._drawn[name] = (len(places), before)

    def _draw_step(self, before: TrackPlace | None, place: TrackPlace, where: tuple[Dial, float]) -> None:
        """In the ink of the signal that it had there."""
        at, ink = _dot(place, where), SIGNAL_INKS[signal_step(place.cno_dbhz)]
        start = _dot(before, where) if before is not None and not place.begins else at
        if hypot(at[0] - start[0], at[1] - start[1]) > STRIDE * where[0].radius:
            start = at
        self._grid.line(start, at, ink)


def _dot(place: TrackPlace, where: tuple[Dial, float]) -> Dot:
    dial, up_deg = where
    return dial.at(1 - place.elevation_deg / 90, place.azimuth_deg - up_deg)
