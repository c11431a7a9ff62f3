"""Directions: a rose that turns, with the course, the target and the heading on it.

The course is a wedge on the rim with a thin line to it, hollow where the course is unsure; the target is a kite from
the middle with dots on to the rim; the heading is a hollow box inside the rim; the sun is a small ring of dots on the
rim with a dot in it. The shapes differ, colour only adds.
"""

from __future__ import annotations

from functools import lru_cache
from math import isfinite
from typing import NamedTuple

from tui.canvas.grid import Dot, Grid
from tui.canvas.inks import Ink
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
from tui.panes.turning import TurningPane, short_way

__all__ = ["CompassPane", "CompassView", "draw_compass"]

ROWS_FOR_BAR = 16
"""Height from which the distance from the leg has a row of its own below the rose."""
_SUN_GROWS_FROM_DOTS = 28


class _Layout(NamedTuple):
    rows: Rows
    corners: bool
    """Whether the words go into the corners; else above and below the rose."""


def draw_compass(grid: Grid, view: CompassView, shown_up_deg: float | None = None) -> None:
    """Draw directions into a blank grid, legibly from about 16 x 7 cells up.

    `shown_up_deg`: what is at the top while the rose still turns to `view.up_deg`; None: it is there.
    """
    if view.cross_track_m is None or not isfinite(view.cross_track_m) or grid.height < ROWS_FOR_BAR:
        _draw_rose(grid, view, shown_up_deg)
        return
    from tui.panes.track_bar import write_track_bar  # start-up time: there is no leg before there is a position

    rose, bar = Grid(grid.width, grid.height - 1), Grid(grid.width, 1)
    _draw_rose(rose, view, shown_up_deg)
    write_track_bar(bar, 0, view.cross_track_m, stale=view.stale)
    grid.copy_from(bar.below(rose))


def _draw_rose(grid: Grid, view: CompassView, shown_up_deg: float | None) -> None:
    up = round(view.up_deg if shown_up_deg is None else shown_up_deg) % 360
    layout = _layout(grid.width, grid.height)
    rose = rose_for(grid.width, grid.height, layout.rows, up)
    sun = None if view.sun_deg is None else _sun_dot(rose, view.sun_deg - up)
    if sun is None:
        grid.copy_from(rose.grid)
    else:
        grid.copy_from(_sunny((grid.width, grid.height), layout.rows, up, _Sun(sun, stale=view.stale)))
    _draw_marks(_Marks(grid, rose, up, view), view)
    (write_corners if layout.corners else write_lines_around)(grid, rose.dial, view)


class _Sun(NamedTuple):
    """On a whole dot: the same even ring at every bearing."""

    dot: tuple[int, int]
    stale: bool


def _sun_dot(rose: Rose, angle: float) -> tuple[int, int]:
    """Its middle: on the rim; inside the rim of a small rose, whose letters are on it."""
    dial = rose.dial
    x, y = dial.inside(0 if rose.reach < dial.radius - 4 else _sun_size(dial) + 2, angle)
    return round(x), round(y)


def _sun_size(dial: Dial) -> int:
    return 3 if dial.radius >= _SUN_GROWS_FROM_DOTS else 2


@lru_cache(maxsize=4)
def _sunny(size: tuple[int, int], rows: Rows, up_deg: int, sun: _Sun) -> Grid:
    """The rose with the sun: a ring of dots, one in its middle. Shared, and copied; it stands still for minutes."""
    grid, rose = Grid(*size), rose_for(*size, rows, up_deg)
    grid.copy_from(rose.grid)
    (x, y), ink = sun.dot, Ink.STALE if sun.stale else Ink.TEXT
    grid.hollow([(x + across, y + down) for across, down in _ring(_sun_size(rose.dial))], ink)
    grid.dot(x, y, ink)
    return grid


def _draw_marks(marks: _Marks, view: CompassView) -> None:
    """The later ones lie above the earlier, and above the sun."""
    if view.course_deg is not None:
        marks.course(view.course_deg, sure=view.course_sure)
    if view.heading_deg is not None:
        marks.heading(view.heading_deg)
    if view.target_bearing_deg is not None:
        marks.target(view.target_bearing_deg)


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

    def __init__(self, grid: Grid, rose: Rose, up_deg: int, view: CompassView) -> None:
        self.grid = grid
        self.dial = rose.dial
        self.reach = rose.reach
        self.up_deg = up_deg
        self.wanted_deg = round(view.up_deg)
        self.stale = view.stale

    def course(self, course_deg: float, *, sure: bool) -> None:
        """A wedge through the rim, pointing outwards."""
        ink = self._ink(Ink.COURSE if sure else Ink.COURSE_UNSURE)
        angle = self._leading(course_deg)
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
        angle = self._leading(heading_deg)
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

    def _leading(self, bearing_deg: float) -> float:
        """The angle of a mark. One that the rose is turned by stays at the top while the rose turns under it."""
        off = short_way(self.wanted_deg, bearing_deg)
        return off if abs(off) <= 1 else bearing_deg - self.up_deg

    def _ink(self, ink: Ink) -> Ink:
        return Ink.STALE if self.stale else ink

    def _from_rim(self, angle: float, outwards: float, across: float) -> Dot:
        return self._from_middle(angle, self.dial.radius + outwards, across)

    def _from_middle(self, angle: float, outwards: float, across: float) -> Dot:
        """So many dots out along the angle, and across it, clockwise."""
        x, y = Dial(self.dial.centre, 1).at(outwards, angle)
        dx, dy = Dial((0, 0), 1).at(across, angle + 90)
        return x + dx, y + dy


def _ring(size: int) -> tuple[Dot, ...]:
    """Whole dots on a ring, each a straight or slanting step from the last: the smallest one that looks round."""
    side = size - 2 or 1
    right = ((side, -size), (size, -side), (size, side), (side, size))
    return (*right, *((-x, -y) for x, y in right))


def _box(size: float) -> tuple[Dot, ...]:
    """Corners in turn, as dots out of the rim and across."""
    near, far = -1.5, -1.5 - 2 * size
    return (near, -size), (near, size), (far, size), (far, -size)


class CompassPane(TurningPane):
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
            self.turn_to(view.up_deg)
            self.repaint()

    def paint(self, grid: Grid) -> None:
        """Draw the view, turned as far as it is."""
        draw_compass(grid, self._view, self.shown_deg)
