"""What no satellite changes in the sky plot: rings, zones, letters, legend. Drawn once for each size and turn."""

from __future__ import annotations

from enum import Enum
from functools import lru_cache
from typing import NamedTuple

from tui.canvas.grid import Grid, Span
from tui.canvas.inks import PILL_PAPERS, SIGNAL_FLOORS_DBHZ, Ink, Paper
from tui.panes.dial import CARDINALS, Dial, write_centred
from tui.panes.places import Crowd

IN_FIX_MASK, TRACKED_MASK, SILENT_MASK, LOST_MASK = 0xFF, 0x3C, 0x0C, 0x99
"""Markers by their dots: the whole cell, its four middle dots, two of them; a jagged line where it is imagined away."""

MARGIN_DOTS = 6
"""Room around the rim for the letters: one row, or two columns and a blank."""

_ZONES = ((1.0, Paper.ZONE_LOW), (2 / 3, Paper.ZONE_MID), (1 / 3, Paper.ZONE_HIGH))
"""From the horizon, from 30 and from 60 degrees of elevation up."""

_LEGEND = (
    (TRACKED_MASK, Span("in the fix", Ink.PILL, bold=True, paper=Paper.PILL_4)),
    (TRACKED_MASK, Span("tracked", Ink.SIGNAL_3)),
    (SILENT_MASK, Span("not tracked", Ink.SIGNAL_0)),
)
_LEGEND_WIDTHS = (14, 16, 13)
"""Cells that rows 0 to 2 need in the corner that needs more."""


class Legend(Enum):
    """What is told of the satellites' signs."""

    NOTHING = 0
    MARKS = 1
    """What the markers mean: signals are of one shade."""
    ALL = 2
    """The shades of their signals too."""


class Base(NamedTuple):
    """A background and what it takes up. Shared by all who ask for it: copy, never draw into it."""

    grid: Grid
    crowd: Crowd
    dial: Dial


@lru_cache(maxsize=64)
def base_for(width: int, height: int, up_deg: int, *, legend: Legend = Legend.ALL) -> Base:
    """The plot without satellites; the last row is left for the counts, the legend is that of satellites."""
    grid, crowd, dial = Grid(width, height), Crowd(width, height), _dial(width, height)
    grid.copy_from(_rings(width, height))
    _draw_spokes(grid, dial, up_deg)
    _write_letters(grid, crowd, dial, up_deg)
    if legend is not Legend.NOTHING:
        _write_legend(grid, crowd, dial, legend)
    crowd.take(0, height - 1, width)
    return Base(grid, crowd, dial)


def _dial(width: int, height: int) -> Dial:
    middle = ((2 * width - 1) / 2, (4 * height - 5) / 2)
    return Dial(middle, min(2 * width, 4 * height - 4) / 2 - MARGIN_DOTS)


@lru_cache(maxsize=4)
def _rings(width: int, height: int) -> Grid:
    """What no turn changes."""
    grid, dial = Grid(width, height), _dial(width, height)
    for share, paper in _ZONES:
        grid.disc(dial.centre, dial.radius * share, paper)
    for share, _ in _ZONES[1:]:
        grid.circle(dial.centre, dial.radius * share, Ink.FAINT, 3)
    grid.circle(dial.centre, dial.radius, Ink.FAINT)
    return grid


def _draw_spokes(grid: Grid, dial: Dial, up_deg: int) -> None:
    for bearing in range(0, 360, 90):
        grid.line(dial.centre, dial.at(1, bearing - up_deg), Ink.FAINT, 4)
    for bearing in range(0, 360, 10 if dial.radius >= 40 else 30):
        reach = 4 if bearing % 30 == 0 else 2
        grid.line(dial.at(1, bearing - up_deg), dial.inside(reach, bearing - up_deg), Ink.FAINT)


def _write_letters(grid: Grid, crowd: Crowd, dial: Dial, up_deg: int) -> None:
    for bearing, letter in CARDINALS:
        x, y = write_centred(grid, dial.inside(-4, bearing - up_deg), letter)
        crowd.take(x, y)


def _write_legend(grid: Grid, crowd: Crowd, dial: Dial, legend: Legend) -> None:
    """In the upper corners, if all of it fits beside the circle and its letters."""
    free = [dial.free_beside(y, MARGIN_DOTS - 1) for y in range(3)]
    if any(room < needed for room, needed in zip(free, _LEGEND_WIDTHS, strict=True)):
        return
    for y, (mask, span) in enumerate(_LEGEND):
        grid.stamp(1, y, mask, span.ink)
        crowd.take(1, y, grid.put(2, y, span))
        if span.paper is not None:
            grid.paper(1, y, 1, span.paper)
    if legend is Legend.MARKS:
        return
    grid.text(grid.width - 14, 0, "signal, dB-Hz", Ink.MUTED)
    _write_ramp(grid, grid.width - 16)
    for y in (0, 1):
        crowd.take(grid.width - 17, y, 17)


def _write_ramp(grid: Grid, x: int) -> None:
    """Each step's lowest figure on its own paper."""
    for paper, figure in zip(PILL_PAPERS[1:], (f"<{SIGNAL_FLOORS_DBHZ[0]}", *SIGNAL_FLOORS_DBHZ), strict=True):
        x = grid.put(x, 1, Span(str(figure), Ink.PILL, bold=True, paper=paper)) + 1
