"""The elevation profile: height over the way, gaps left open.

Every column of dots shows all heights of its stretch, from the lowest to the highest; a gap in the track, or in what is
known of the height, is a break in the line.
"""

from __future__ import annotations

from math import ceil, floor, isfinite, log10
from typing import NamedTuple

from core.fix import Position
from core.heights import Bin, Heights, columns
from core.places.geodesic import distance_m
from core.track import TrackView
from core.units import UNITS, Unit, in_use
from tui import wording
from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.widget import CanvasPane
from tui.panes.dial import write_lines

SMALLEST = (24, 4)
"""Columns and rows below which there is no profile."""
LEAST_RANGE_M = 20.0
"""The axis never shows less: a receiver's heights wander by ten metres, which must not look like hills (common
practice, no source)."""
HERE_M = 100.0
"""Within this of the track's end, the end is where you are (ours)."""
_ROWS_FOR_ROUND = 8
_TICKS_DOTS = 8
_FIGURES = (1, 2, 5, 10)
_NO_TRACK = TrackView((), 0)


class ProfileView(NamedTuple):
    """One frame's worth."""

    track: TrackView | None = None
    here: Position | None = None
    """Where you are: marked where the track ends, if that is here."""
    note: str = "No heights recorded yet"
    """Said where there is nothing to show."""


class Axis(NamedTuple):
    """From one figure to another by steps."""

    low: float
    step: float
    steps: int
    """How many, 1 at least."""

    @property
    def ticks(self) -> list[float]:
        """The figures, both ends included."""
        return [self.low + n * self.step for n in range(self.steps + 1)]


class _Plot(NamedTuple):
    """Where in the grid the line goes."""

    left: int
    wide: int
    """In dots."""
    bottom: int
    """Row of the lowest figure."""
    axis: Axis

    @property
    def rows_apart(self) -> int:
        """Rows from one figure to the next: whole ones, so that figures and lines stand at even distances."""
        return max(1, self.bottom // self.axis.steps)

    def y(self, height_m: float) -> float:
        """The dot's row at a height; a figure's line is the second of its cell."""
        return 4 * self.bottom + 1 - 4 * self.rows_apart * (height_m - self.axis.low) / self.axis.step


def draw_profile(grid: Grid, view: ProfileView, heights: Heights | None = None) -> None:
    """Draw the profile into a blank grid.

    `heights` remembers from frame to frame what of the track was taken in; without it all is worked out anew.
    """
    heights = heights or Heights()
    heights.follow(view.track or _NO_TRACK)
    known = [one for one in heights.bins if one.low_m == one.low_m]
    if grid.width < SMALLEST[0] or grid.height < SMALLEST[1]:
        grid.text(0, 0, "too small for a profile", Ink.MUTED)
    elif not known or heights.length_m <= 0:
        write_lines(grid, (grid.width - 0.5, 2 * grid.height - 0.5), view.note, grid.width - 4)
    else:
        _draw(grid, view, heights, (min(one.low_m for one in known), max(one.high_m for one in known)))


def _draw(grid: Grid, view: ProfileView, heights: Heights, ends_m: tuple[float, float]) -> None:
    rows = grid.height - 1
    unit = UNITS[in_use().height]
    axis = height_axis(ends_m[0] / unit.size, ends_m[1] / unit.size, rows=rows, least=LEAST_RANGE_M / unit.size)
    words = [f"{height:,.0f} {unit.name}" for height in axis.ticks]
    axis = Axis(axis.low * unit.size, axis.step * unit.size, axis.steps)
    margin = max(map(len, words)) + 2
    plot = _Plot(2 * margin, 2 * (grid.width - margin - 2), rows - 1, axis)
    _draw_line(grid, plot, columns(heights, plot.wide))
    _draw_heights_axis(grid, plot, words)
    _draw_way_axis(grid, plot, heights.length_m)
    _mark_here(grid, plot, view, heights)


def height_axis(low_m: float, high_m: float, *, rows: int, least: float = LEAST_RANGE_M) -> Axis:
    """Figures around all heights, `least` apart at least, whole rows between them.

    They are round, and their step the one that makes most of the rows; but in a few rows, where round ones would
    squeeze the line, only the two ends are given, in tens.
    """
    short = max(0.0, least - (high_m - low_m)) / 2
    low_m, high_m = low_m - short, high_m + short
    if rows < _ROWS_FOR_ROUND:
        low, high = floor(low_m / 10) * 10.0, ceil(high_m / 10) * 10.0
        return Axis(low, high - low, 1)
    step = round_step((high_m - low_m) / rows)
    steps = [step]
    while step < high_m - low_m:
        step = round_step(step * 1.01)
        steps.append(step)
    found = [_around(low_m, high_m, step) for step in steps]
    return max((axis for axis in found if axis.steps < rows), key=lambda axis: (rows - 1) // axis.steps / axis.step)


def _around(low_m: float, high_m: float, step: float) -> Axis:
    first, last = floor(low_m / step), ceil(high_m / step)
    return Axis(first * step, step, last - first)


def round_step(least: float) -> float:
    """The smallest of 1, 2, 5, 10, ... that is no less."""
    power = 10.0 ** floor(log10(least))
    return next(figure * power for figure in _FIGURES if figure * power >= least * (1 - 1e-9))


def _draw_heights_axis(grid: Grid, plot: _Plot, words: list[str]) -> None:
    """Figures at the left, and a faint line of dots at each wherever it does not touch the profile."""
    for number, text in enumerate(words):
        y = plot.bottom - number * plot.rows_apart
        # Figures row on row are a wall of them.
        if plot.rows_apart > 1 or number % 2 == 0:
            grid.put(plot.left // 2 - 1 - len(text), y, Span(text, Ink.MUTED))
        row = grid.row_text(y, BRAILLE)
        for x in range(plot.left, plot.left + plot.wide, _TICKS_DOTS):
            if row[x // 2] == " ":
                grid.dot(x, 4 * y + 1, Ink.FAINT)


def _draw_way_axis(grid: Grid, plot: _Plot, length_m: float) -> None:
    """Round distances below, the whole length at the right end."""
    y, whole = grid.height - 1, wording.distance(length_m)
    last = grid.put(grid.width - 1 - len(whole), y, Span(whole, Ink.TEXT)) - len(whole)
    unit, figure = _way_step(length_m / max(1, plot.wide // 32))
    step = figure * unit.size
    for number in range(ceil(length_m / step)):
        text = f"{number * figure:,.{1 if figure < 1 else 0}f} {unit.name}" if number else "0"
        x = plot.left // 2 + round(number * step / length_m * (plot.wide - 1)) // 2
        if x + len(text) + 1 < last:
            grid.put(x, y, Span(text, Ink.MUTED))


def _way_step(least_m: float) -> tuple[Unit, float]:
    """A round step of the way, and its unit: the long one from half of where it begins."""
    units = in_use()
    short, long = UNITS[units.short], UNITS[units.distance]
    step = round_step(least_m / short.size)
    return (short, step) if step * short.size < units.short_to_m / 2 else (long, round_step(least_m / long.size))


def _draw_line(grid: Grid, plot: _Plot, found: list[Bin]) -> None:
    last: tuple[float, float] | None = None
    broken = False
    for n, one in enumerate(found):
        broken |= one.broken
        if one.low_m != one.low_m:
            continue
        x, top, bottom = plot.left + n, plot.y(one.high_m), plot.y(one.low_m)
        # Across a break only both ends: nobody was between them.
        grid.line((x, top), (x, bottom), Ink.TRAIL, max(1, round(bottom - top)) if one.broken else 1)
        if last is not None and not broken:
            grid.line(last, (x, plot.y(one.first_m)), Ink.TRAIL)
        last, broken = (x, plot.y(one.last_m)), False


def _mark_here(grid: Grid, plot: _Plot, view: ProfileView, heights: Heights) -> None:
    """A wedge on the end of the line, if you are there."""
    newest = heights.newest
    if newest is None or view.here is None or newest.altitude_m is None or not isfinite(newest.altitude_m):
        return
    if distance_m(newest.position, view.here) <= HERE_M:
        x, y = plot.left + plot.wide - 1, max(5.0, plot.y(newest.altitude_m)) - 1
        grid.polygon([(x, y), (x - 2.5, y - 5), (x + 2.5, y - 5)], Ink.COURSE)


class ProfilePane(CanvasPane):
    """The profile as a pane."""

    caption = "Elevation"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, classes=classes)
        self._view = ProfileView()
        self._heights = Heights()

    def show(self, view: ProfileView) -> None:
        """Show this from now on; a view equal to the last costs nothing."""
        if view != self._view:
            self._view = view
            self.aside = Span("mean sea level, gaps not counted", Ink.MUTED)
            self.repaint()

    def paint(self, grid: Grid) -> None:
        """Draw the view."""
        draw_profile(grid, self._view, self._heights)
