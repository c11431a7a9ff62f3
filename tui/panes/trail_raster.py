"""The track drawn once: a new point adds a line to the drawing, only another map draws it again."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from math import floor

from core.map_view import MapView
from core.thinned import Entry, Thinned
from tui.canvas.clip import clipped
from tui.canvas.grid import Dot, Grid
from tui.canvas.inks import Ink


class TrailRaster:
    """Remembers the drawing from frame to frame."""

    def __init__(self) -> None:
        self.grid = Grid(0, 0)
        """Copy, never draw into it."""
        self.version = 0
        """Counts up when the drawing changes."""
        self._made_for: object = None
        self._entries = 0

    def bring(self, shown: MapView, thinned: Thinned, cells: tuple[int, int]) -> Grid:
        """The track on this map, in a grid of so many cells."""
        level = thinned.level_for(shown.metres_per_dot)
        made_for = (shown, thinned.restarts, cells)
        if made_for != self._made_for:
            self.grid = Grid(*cells)
            for stretch in level.seen(shown):
                trace(self.grid, shown, stretch)
        elif len(level.entries) == self._entries:
            return self.grid
        else:
            trace(self.grid, shown, level.entries[max(0, self._entries - 1) :])
        self.version += 1
        self._made_for, self._entries = made_for, len(level.entries)
        return self.grid


def draw_end(grid: Grid, shown: MapView, thinned: Thinned) -> None:
    """From the drawing's last point on to the track's: shorter than a dot or two, but there the eye looks.

    Not for keeping: as the track grows, such lines would make it thicker than it is drawn the next time.
    """
    trace(grid, shown, [*thinned.level_for(shown.metres_per_dot).entries[-1:], thinned.tip])


def trace(grid: Grid, shown: MapView, entries: Iterable[Entry], ink: Ink = Ink.TRAIL) -> None:
    """Lines between neighbours; a None between them breaks the line, and a point by itself is a dot."""
    for joined, run in groupby(entries, lambda entry: entry is not None):
        if joined:
            _trace_run(grid, shown, shown.dots(entry for entry in run if entry is not None), ink)


def _trace_run(grid: Grid, shown: MapView, dots: list[Dot], ink: Ink) -> None:
    """Nearly all steps are of a dot or less: those cost the setting of one dot or none, and nothing outside the map.

    On whole dots, because a line between fractions may leave one out.
    """
    right, bottom = shown.size
    last_x, last_y = floor(dots[0][0] + 0.5), floor(dots[0][1] + 0.5)
    grid.dot(last_x, last_y, ink)
    was_inside = False
    for exact_x, exact_y in dots[1:]:
        x, y = floor(exact_x + 0.5), floor(exact_y + 0.5)
        if x == last_x and y == last_y:
            continue
        inside = 0 <= x < right and 0 <= y < bottom
        if not (inside and was_inside):
            # Asked here once more, because of all that is worked out in vain most lies off one edge.
            if max(x, last_x) >= 0 and max(y, last_y) >= 0 and min(x, last_x) < right and min(y, last_y) < bottom:
                _draw_part(grid, (last_x, last_y), (x, y), ink)
        elif -1 <= x - last_x <= 1 and -1 <= y - last_y <= 1:
            grid.dot(x, y, ink)
        else:
            grid.line((last_x, last_y), (x, y), ink)
        last_x, last_y, was_inside = x, y, inside


def _draw_part(grid: Grid, start: Dot, end: Dot, ink: Ink) -> None:
    part = clipped(start, end, (grid.dots_wide, grid.dots_high))
    if part is not None:
        (x0, y0), (x1, y1) = part
        grid.line((floor(x0 + 0.5), floor(y0 + 0.5)), (floor(x1 + 0.5), floor(y1 + 0.5)), ink)
