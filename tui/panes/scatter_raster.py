"""The cloud of fixes, drawn once: a new fix adds its dot, only another frame draws all of them again."""

from __future__ import annotations

from core.site_session import SampleView
from tui.canvas.grid import Grid
from tui.canvas.inks import Ink
from tui.panes.scatter_frame import ScatterFrame

MOST_DRAWN = 20_000
"""Fixes drawn anew at once: of more, every so many-th. By then the dots cover each other anyhow."""


class ScatterRaster:
    """Remembers the drawing from frame to frame."""

    def __init__(self) -> None:
        self.grid = Grid(0, 0)
        """Copy, never draw into it."""
        self.beyond = 0
        """Fixes that lie outside the frame."""
        self._made_for: object = None
        self._list: object = None
        self._count = 0

    def bring(self, view: SampleView, frame: ScatterFrame, cells: tuple[int, int]) -> Grid:
        """The fixes in this frame, in a grid of so many cells."""
        made_for = frame, cells
        if made_for != self._made_for or view.points is not self._list or view.count < self._count:
            self.grid, self.beyond = Grid(*cells), 0
            self._made_for, self._list = made_for, view.points
            self._add(view, frame, (0, 1 + view.count // MOST_DRAWN))
        elif view.count > self._count:
            self._add(view, frame, (self._count, 1))
        self._count = view.count
        return self.grid

    def _add(self, view: SampleView, frame: ScatterFrame, slicing: tuple[int, int]) -> None:
        """From a number on, every so many-th."""
        first, step = slicing
        dot, holds = self.grid.dot, frame.holds
        for at in frame.dots(view.points[first : view.count : step]):
            if holds(at):
                dot(*at, Ink.TRAIL)
            else:
                self.beyond += step
