"""What stands in the way in the plot of the sky: as seen so far, or imagined."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from math import atan2, degrees, hypot

from core.obstruction import HIDDEN_SHARE, SECTOR_DEG, Cell, Edge, ObstructionMap
from core.what_if import WhatIf
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.rows import put_row
from tui.panes.dial import Dial
from tui.panes.sky_base import Legend, base_for

HATCH_DEG = 6
"""Between two lines of the hatching of what is imagined to be hidden."""
HIDDEN_MASK, PARTLY_MASK, FREE_MASK = 0xFF, 0x5A, 0x44
"""Cells by their dots: full where hidden, half where it comes and goes, two dots where free; none where not known."""
PARTLY = 0.1
"""Without signal for more than this share of the time, a cell is not simply free."""
CLOSE_DEG = 15
"""Between hidden and free: within it a skyline can be told, beyond it half-way would be a guess."""
OBSTRUCTION_WORDS = (
    "full: no signal  half: at times, or weak  dots: free  blank: unknown  line: skyline (dots: at least)",
    "full: hidden, half: at times or weak, dots: free, line: skyline",
    "full hidden, half at times, dots free",
)
HEARD_ONLY_WORDS = (
    "This receiver lists only what it hears: free is known (dots), hidden is not.",
    "lists only what it hears: dots free",
)
"""Longest first."""


def draw_skyline(grid: Grid, dial: Dial, up_deg: float, change: WhatIf) -> None:
    """What is imagined to be hidden: hatched from the rim up to the skyline."""
    if change.mask_deg == 0 and change.cliff is None and change.street is None:
        return
    for azimuth in range(0, 360, 2):
        edge = min(90.0, change.skyline_deg(azimuth))
        if edge <= 0.0:
            continue
        top = dial.at(1 - edge / 90, azimuth - up_deg)
        if azimuth % HATCH_DEG == 0:
            grid.line(dial.at(1, azimuth - up_deg), top, Ink.WARN, 2)
        grid.dot(*top, Ink.WARN)


def draw_obstruction(grid: Grid, seen: ObstructionMap, up_deg: float) -> None:
    """The sky by cells: hidden, coming and going, free, unknown; and the skyline as far as it can be told."""
    base = base_for(grid.width, grid.height, round(up_deg) % 360, legend=Legend.NOTHING)
    grid.copy_from(base.grid)
    for x, y, azimuth, elevation in _sky_cells(grid.width, grid.height):
        look = _look(seen.cell(azimuth + up_deg, elevation), tells_hidden=seen.tells_hidden)
        if look:
            grid.stamp(x, y, *look)
    if seen.tells_hidden:
        for edge in seen.skyline():
            _draw_edge(grid, base.dial, up_deg, edge)
    _write_fitting(grid, OBSTRUCTION_WORDS if seen.tells_hidden else HEARD_ONLY_WORDS)


@lru_cache(maxsize=4)
def _sky_cells(width: int, height: int) -> tuple[tuple[int, int, float, float], ...]:
    """Column, row, direction from the top and elevation of each cell inside the rim."""
    dial = base_for(width, height, 0, legend=Legend.NOTHING).dial
    found = []
    for y in range(height - 1):
        for x in range(width):
            dx, dy = 2 * x + 0.5 - dial.centre[0], 4 * y + 1.5 - dial.centre[1]
            share = hypot(dx, dy) / dial.radius
            if share <= 1.0:
                found.append((x, y, degrees(atan2(dx, -dy)), 90.0 * (1.0 - share)))
    return tuple(found)


def _look(cell: Cell, *, tells_hidden: bool) -> tuple[int, Ink] | None:
    """Dots and ink of a cell; None where nothing is known. Heard weakly is not free: it may come by way of a wall."""
    hidden = cell.hidden_share
    if hidden is None:
        return None
    if cell.is_clear and (not tells_hidden or hidden <= PARTLY):
        return FREE_MASK, Ink.SIGNAL_3
    if not tells_hidden:
        return PARTLY_MASK, Ink.WARN
    return (HIDDEN_MASK if hidden > HIDDEN_SHARE else PARTLY_MASK), Ink.WARN


def _draw_edge(grid: Grid, dial: Dial, up_deg: float, edge: Edge) -> None:
    """A line half-way between hidden and free where they lie close together; else dots: so high at least."""
    if edge.at_least_deg is None:
        return
    gap = None if edge.at_most_deg is None else edge.at_most_deg - edge.at_least_deg
    sure = gap is not None and gap <= CLOSE_DEG
    elevation = edge.at_least_deg + (gap / 2 if gap is not None and sure else 0)
    for tenth in range(0, 10 * SECTOR_DEG + 1, 4 if sure else 25):
        azimuth = edge.azimuth_deg - SECTOR_DEG / 2 + tenth / 10
        grid.dot(*dial.at(1 - elevation / 90, azimuth - up_deg), Ink.TEXT)


def _write_fitting(grid: Grid, words: Iterable[str]) -> None:
    """In the last row, the first that fits."""
    text = next((text for text in words if len(text) <= grid.width - 2), "")
    put_row(grid, grid.height - 1, (Span(text, Ink.MUTED),))
