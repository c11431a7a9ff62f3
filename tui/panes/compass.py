"""Directions: a rose that turns, with the course, the target and the heading on it.

The course is a wedge on the rim with a thin line to it, hollow where the course is unsure; the target is a kite from
the middle with dots on to the rim; the heading is a hollow box inside the rim. The shapes differ, colour only adds.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from tui.canvas.grid import Dot, Grid
from tui.canvas.inks import Ink
from tui.canvas.widget import CanvasPane
from tui.panes.compass_words import (
    CLEAR_DOTS,
    CORNER_WIDTH,
    ROWS_FOR_LEG,
    CompassView,
    write_corners,
    write_lines_around,
)
from tui.panes.dial import Dial, up_span
from tui.panes.rose import Rose, Rows, dial_for, rose_for

__all__ = ["CompassPane", "CompassView", "draw_compass"]


class _Layout(NamedTuple):
    rows: Rows
    corners: bool
    """Whether the words go into the corners; else above and below the rose."""


def draw_compass(grid: Grid, view: CompassView) -> None:
    """Draw directions into a blank grid, legibly from about 16 x 7 cells up."""
    up = round(view.up_deg) % 360
    layout = _layout(grid.width, grid.height)
    rose = rose_for(grid.width, grid.height, layout.rows, up)
    grid.copy_from(rose.grid)
    marks = _Marks(grid, rose, up, view.stale)
    if view.course_deg is not None:
        marks.course(view.course_deg, sure=view.course_sure)
    if view.heading_deg is not None:
        marks.heading(view.heading_deg)
    if view.target_bearing_deg is not None:
        marks.target(view.target_bearing_deg)
    (write_corners if layout.corners else write_lines_around)(grid, rose.dial, view)


@lru_cache(maxsize=16)
def _layout(width: int, height: int) -> _Layout:
    """As large as the height allows if the words find room in the corners, else between rows of words."""
    rows = Rows(0, height - 1)
    dial = dial_for(width, rows)
    if min(dial.free_beside(y, CLEAR_DOTS) for y in (1, height - 2)) >= CORNER_WIDTH:
        return _Layout(rows, corners=True)
    return _Layout(Rows(1, max(1, height - (3 if height >= ROWS_FOR_LEG else 2))), corners=False)


class _Marks:
    """Draws shapes at bearings. Angles on the grid are bearings less the one at the top."""

    def __init__(self, grid: Grid, rose: Rose, up_deg: int, stale: bool) -> None:
        self.grid = grid
        self.dial = rose.dial
        self.reach = rose.reach
        self.up_deg = up_deg
        self.stale = stale

    def course(self, course_deg: float, *, sure: bool) -> None:
        """A wedge through the rim, pointing outwards."""
        ink = self._ink(Ink.COURSE if sure else Ink.COURSE_UNSURE)
        angle = course_deg - self.up_deg
        size = max(3.0, min(6.0, self.dial.radius / 6))
        corners = [self._from_rim(angle, size * 0.6, 0)]
        corners += [self._from_rim(angle, -size, side * size * 0.8) for side in (-1, 1)]
        self.grid.line(self.dial.inside(size, angle), self.dial.at(0.1, angle), ink)
        if sure:
            self.grid.polygon(corners, ink)
        else:
            self.grid.hollow(corners, ink)

    def heading(self, heading_deg: float) -> None:
        """A hollow box inside the rim."""
        angle = heading_deg - self.up_deg
        size = max(2.0, min(3.0, self.dial.radius / 8))
        corners = [self._from_rim(angle, out, across) for out, across in _box(size)]
        self.grid.hollow(corners, self._ink(Ink.HEADING))

    def target(self, bearing_deg: float) -> None:
        """A kite, its tip towards the target."""
        ink = self._ink(Ink.TARGET)
        angle, tip = bearing_deg - self.up_deg, self.reach
        self.grid.line(self.dial.inside(1, angle), self._from_middle(angle, tip, 0), ink, 3)
        shoulders = [self._from_middle(angle, 0, side * max(2.0, 0.22 * tip)) for side in (-1, 1)]
        tail = self._from_middle(angle, -0.3 * tip, 0)
        self.grid.polygon([self._from_middle(angle, tip, 0), shoulders[1], tail, shoulders[0]], ink)

    def _ink(self, ink: Ink) -> Ink:
        return Ink.STALE if self.stale else ink

    def _from_rim(self, angle: float, outwards: float, across: float) -> Dot:
        return self._from_middle(angle, self.dial.radius + outwards, across)

    def _from_middle(self, angle: float, outwards: float, across: float) -> Dot:
        """So many dots out along the angle, and across it, clockwise."""
        x, y = Dial(self.dial.centre, 1).at(outwards, angle)
        dx, dy = Dial((0, 0), 1).at(across, angle + 90)
        return x + dx, y + dy


def _box(size: float) -> tuple[Dot, ...]:
    """Corners in turn, as dots out of the rim and across."""
    near, far = -1.5, -1.5 - 2 * size
    return (near, -size), (near, size), (far, size), (far, -size)


class CompassPane(CanvasPane):
    """The rose as a pane."""

    caption = "Compass"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, classes=classes)
        self._view = CompassView()

    def show(self, view: CompassView) -> None:
        """Show this from now on; a view equal to the last costs nothing."""
        if view != self._view:
            self._view = view
            self.aside = up_span(view.up_deg, stale=view.stale)
            self.repaint()

    def paint(self, grid: Grid) -> None:
        """Draw the view."""
        draw_compass(grid, self._view)
