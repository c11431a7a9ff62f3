"""The marks on the map. Their shapes differ, colour only adds.

You are an arrowhead in the direction of the course, a ring without one, either of them hollow when the position is not
of now. The target is a kite standing on its place, a held place a box, a waypoint an `x`, the way back a row of beads.
What matters and lies off the map is a triangle at its edge, pointing outwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan2, degrees, floor, hypot, radians

from core.fix import Position
from core.map_view import MapView, is_place, vector
from tui.canvas.clip import clipped
from tui.canvas.grid import Dot, Grid, Span, polar
from tui.canvas.inks import Ink

Cell = tuple[int, int]

BEADS_DOTS = 8.0
"""Between two beads of the way back: so far apart that no glyph set makes a line of them."""
_ARROW = ((7.5, 0.0), (-5.0, 5.0), (-3.0, 0.0), (-5.0, -5.0))
"""Ahead and to the right, in dots: tip, right wing, notch, left wing."""
_KITE = ((0, 0), (-3.6, -7), (0, -11), (3.6, -7))
_BOX = ((-4, -4), (4, -4), (4, 4), (-4, 4))
_EDGE = ((2.0, 0.0), (-4.0, 4.0), (-4.0, -4.0))
_RING = 4


def cell_of(dot: Dot) -> Cell:
    """The cell that a dot lies in."""
    return floor(dot[0] + 0.5) >> 1, floor(dot[1] + 0.5) >> 2


def draw_you(grid: Grid, at: Dot, course_deg: float | None, *, stale: bool) -> None:
    """Where you are."""
    ink = Ink.STALE if stale else Ink.COURSE
    if course_deg is None:
        _draw_ring(grid, at, ink, full=not stale)
    elif stale:
        grid.hollow(_turned(_ARROW, at, course_deg), ink)
    else:
        grid.polygon(_turned(_ARROW, at, course_deg), ink)


def _draw_ring(grid: Grid, at: Dot, ink: Ink, *, full: bool) -> None:
    x, y = floor(at[0] + 0.5), floor(at[1] + 0.5)
    r, side = _RING, _RING - 2
    corners = [(-side, -r), (side, -r), (r, -side), (r, side), (side, r), (-side, r), (-r, side), (-r, -side)]
    grid.hollow([(x + dx, y + dy) for dx, dy in corners], ink)
    if full:
        for dx, dy in ((0, 0), (-1, 0), (1, 0), (0, -1), (0, 1)):
            grid.dot(x + dx, y + dy, ink)


def draw_target(grid: Grid, at: Dot, ink: Ink = Ink.TARGET) -> None:
    """A kite, its tail on the place, to a dot: on whole quarters of cells, so that it keeps its shape."""
    x, y = floor(at[0] / 2 + 0.25) * 2 + 0.5, floor(at[1] / 2) * 2 + 1.5
    grid.polygon([(x + dx, y + dy) for dx, dy in _KITE], ink)


def draw_held(grid: Grid, at: Dot) -> None:
    """A box around the place, and a dot on it."""
    x, y = floor(at[0] + 0.5), floor(at[1] + 0.5)
    grid.hollow([(x + dx, y + dy) for dx, dy in _BOX], Ink.NORTH)
    for dx, dy in ((0, 0), (1, 0), (0, 1), (1, 1)):
        grid.dot(x + dx, y + dy, Ink.NORTH)


def draw_off_map(grid: Grid, at: Dot, ink: Ink) -> Dot:
    """A triangle at the edge, on the line from the middle to a place that is not on the map; where it is now."""
    middle = (grid.dots_wide - 1) / 2, (grid.dots_high - 1) / 2
    dx, dy = at[0] - middle[0], at[1] - middle[1]
    share = min(1.0, *(room / max(abs(d), 1e-9) for room, d in zip(_room(grid), (dx, dy), strict=True)))
    spot = middle[0] + dx * share, middle[1] + dy * share
    grid.polygon(_turned(_EDGE, spot, degrees(atan2(dx, -dy))), ink)
    return spot


def _room(grid: Grid) -> Dot:
    return max(1.0, grid.dots_wide / 2 - 4), max(1.0, grid.dots_high / 2 - 4)


def draw_north(grid: Grid) -> None:
    """An arrowhead to the top in the upper right corner, its letter below it."""
    x = grid.width * 2 - 6
    grid.polygon([(x + 0.5, -1), (x + 4, 7), (x - 3, 7)], Ink.NORTH)
    grid.put(x // 2, 2, Span("N", Ink.NORTH, bold=True))


def draw_beads(grid: Grid, shown: MapView, back: Sequence[Position]) -> None:
    """The way back as beads at even distances: it mostly lies on the track, where a line could not be told from it."""
    dots = shown.dots(vector(place) for place in back if is_place(place))
    due = 0.0
    for start, end in pairwise(dots):
        due = _bead_leg(grid, shown, (start, end), due)


def _bead_leg(grid: Grid, shown: MapView, leg: tuple[Dot, Dot], due: float) -> float:
    """Beads on one leg, the first `due` dots from its start; how far into the next leg the next one is due."""
    (x, y), (end_x, end_y) = leg
    length = hypot(end_x - x, end_y - y)
    part = clipped(*leg, shown.size) if length else None
    if part is not None:
        along = hypot(part[0][0] - x, part[0][1] - y)
        along = due + BEADS_DOTS * max(0, -((due - along) // BEADS_DOTS))
        last = hypot(part[1][0] - x, part[1][1] - y)
        while along <= last:
            _draw_bead(grid, (x + (end_x - x) * along / length, y + (end_y - y) * along / length))
            along += BEADS_DOTS
    return (due - length) % BEADS_DOTS


def _draw_bead(grid: Grid, at: Dot) -> None:
    """Half a cell: the same shape everywhere, and in every glyph set."""
    x, y = floor(at[0] + 0.5) // 2 * 2, floor(at[1] + 0.5) // 2 * 2
    grid.polygon([(x, y - 0.5), (x + 1, y - 0.5), (x + 1, y + 1.5), (x, y + 1.5)], Ink.TARGET)


def _turned(shape: Sequence[Dot], at: Dot, angle_deg: float) -> list[Dot]:
    """A shape given as dots ahead and to the right, turned clockwise from the top and put at a dot."""
    angle = radians(angle_deg)
    found = []
    for ahead, right in shape:
        x, y = polar(at, ahead, angle)
        x, y = polar((x, y), right, angle + radians(90))
        found.append((x, y))
    return found
