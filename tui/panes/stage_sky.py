"""The sky on a stage: the plot of the board, larger marks, and names in letters for as many as find room."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import floor

from core.fix import Satellite
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import SIGNAL_INKS, Ink, Paper, signal_step
from tui.canvas.letters import TEXT, Scale, put_letters, span_of
from tui.panes.dial import CARDINALS, Dial
from tui.panes.sky import SkyView, draw_sky, is_placed, strongest_first
from tui.panes.stage_lines import Box
from tui.panes.stage_pictures import NARROW, SMALL, dial_in, draw_ring, put_middle

LARGE_FROM_ROWS = 34
"""Height from which marks and names are larger than the board's own: in less the circle would pay for the letters."""
_LETTER_MARGIN = 18.0
_ZONES = ((1.0, Paper.ZONE_LOW), (2 / 3, Paper.ZONE_MID), (1 / 3, Paper.ZONE_HIGH))
"""As on the board: from the horizon, from 30 and from 60 degrees of elevation."""

Cell = tuple[int, int]


def draw_stage_sky(grid: Grid, box: Box, view: SkyView, *, fine: bool) -> None:
    """In a small room the board's own plot, whose names are text; else the large one."""
    if box.height < LARGE_FROM_ROWS or box.width < 2 * LARGE_FROM_ROWS or not fine:
        inner = Grid(box.width, box.height)
        # Why there are none stands beside it, larger.
        draw_sky(inner, view._replace(note=""))
        grid.paste(inner, (box.x, box.y))
        return
    dial = dial_in(box, _LETTER_MARGIN)
    _draw_base(grid, dial, view.up_deg)
    _Large(grid, box, dial, view).draw()


def _draw_base(grid: Grid, dial: Dial, up_deg: float) -> None:
    for share, paper in _ZONES:
        grid.disc(dial.centre, dial.radius * share, paper)
    for share in (1 / 3, 2 / 3):
        grid.circle(dial.centre, dial.radius * share, Ink.FAINT, 3)
    draw_ring(grid, dial, Ink.FAINT)
    for bearing, letter in CARDINALS:
        put_middle(grid, dial.inside(-10, bearing - up_deg), letter, SMALL)


class _Large:
    """One frame in the making, and the cells that are taken."""

    def __init__(self, grid: Grid, box: Box, dial: Dial, view: SkyView) -> None:
        self.grid, self.box, self.dial, self.view = grid, box, dial, view
        self.taken = {cell for bearing, _ in CARDINALS for cell in self._letter_cells(bearing)}
        self.lost = dict(view.lost)

    def _letter_cells(self, bearing: float) -> Iterable[Cell]:
        """Roughly: a letter is five by four cells around its dot."""
        x, y = self.dial.inside(-10, bearing - self.view.up_deg)
        return _cells((round(x / 2) - 3, round(y / 4) - 2), (7, 5))

    def draw(self) -> None:
        """All marks first, then the names, those in the fix and the strongest before the others."""
        placed = [(one, self._cell(one)) for one in strongest_first(self.view.satellites) if is_placed(one)]
        for one, cell in reversed(placed):
            self._mark(one, cell)
        for one, cell in placed:
            self._name(one, cell)

    def _cell(self, one: Satellite) -> Cell:
        x, y = self.dial.at(1 - (one.elevation_deg or 0) / 90, (one.azimuth_deg or 0) - self.view.up_deg)
        return floor(x + 0.5) >> 1, floor(y + 0.5) >> 2

    def _ink(self, one: Satellite) -> Ink:
        if one.name in self.lost:
            return Ink.WARN
        return Ink.STALE if self.view.stale else SIGNAL_INKS[signal_step(one.cno_dbhz)]

    def _mark(self, one: Satellite, cell: Cell) -> None:
        """Four cells by two: filled in the fix, hollow when tracked, two dots when not; crossed when imagined away."""
        left, top = 2 * cell[0] - 3, 4 * cell[1] - 2
        right, bottom = left + 7, top + 7
        corners = ((left, top), (right, top), (right, bottom), (left, bottom))
        ink = self._ink(one)
        if one.name in self.lost:
            self.grid.line(corners[0], corners[2], ink)
            self.grid.line(corners[1], corners[3], ink)
        elif one.in_fix:
            self.grid.polygon(corners, ink)
        elif signal_step(one.cno_dbhz):
            self.grid.hollow(corners, ink)
        else:
            self.grid.circle((2 * cell[0] + 0.5, 4 * cell[1] + 1.5), 1.5, ink)
        self.taken.update(_cells((cell[0] - 2, cell[1] - 1), (5, 3)))

    def _name(self, one: Satellite, cell: Cell) -> None:
        """In letters where there is room beside the mark, else as text, else not at all."""
        text = f"-{one.name}" if one.name in self.lost else one.name
        for scale in (NARROW, TEXT) if one.in_fix or one.cno_dbhz else (TEXT,):
            at = next(self._free(cell, span_of(text, scale), scale), None)
            if at is not None:
                put_letters(self.grid, at, Span(text, self._name_ink(one), bold=True), scale)
                self.taken.update(_cells(at, span_of(text, scale)))
                return

    def _name_ink(self, one: Satellite) -> Ink:
        if one.name in self.lost or self.view.stale:
            return self._ink(one)
        return Ink.TEXT if one.in_fix else Ink.MUTED

    def _free(self, cell: Cell, size: tuple[int, int], scale: Scale) -> Iterator[Cell]:
        """Right, left, above, below the mark, and at its corners."""
        wide, high = size
        middle = cell[1] - high // 2
        for at in (
            (cell[0] + 4, middle),
            (cell[0] - wide - 3, middle),
            (cell[0] - wide // 2, cell[1] - high - 1),
            (cell[0] - wide // 2, cell[1] + 2),
            (cell[0] + 4, cell[1] - high),
            (cell[0] + 4, cell[1] + 1),
            (cell[0] - wide - 3, cell[1] - high),
            (cell[0] - wide - 3, cell[1] + 1),
        ):
            if self._inside(at, size) and self.taken.isdisjoint(_cells((at[0] - 1, at[1]), (wide + 2, high))):
                yield at

    def _inside(self, at: Cell, size: tuple[int, int]) -> bool:
        return (
            self.box.x <= at[0]
            and at[0] + size[0] <= self.box.x + self.box.width
            and self.box.y <= at[1]
            and at[1] + size[1] <= self.box.y + self.box.height
        )


def _cells(at: Cell, size: tuple[int, int]) -> Iterable[Cell]:
    return [(at[0] + x, at[1] + y) for x in range(size[0]) for y in range(size[1])]
