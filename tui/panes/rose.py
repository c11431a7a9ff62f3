"""The compass rose: the rim, its ticks, letters and figures. Drawn once for each size and whole degree of turn."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.panes.dial import CARDINALS, Dial, write_centred

FIGURES_FROM_DOTS = 34
"""Radius from which figures every 30 degrees find room between the letters."""
_FINE_TICKS_FROM_DOTS, _INNER_LETTERS_FROM_DOTS = 28, 22
_MARGIN_DOTS = 4
"""The wedge's tip stands out that far."""


class Rose(NamedTuple):
    """A background; shared by all who ask for it: copy, never draw into it."""

    grid: Grid
    dial: Dial
    reach: float
    """How far from the middle shapes may go without meeting letters or figures, in dots."""


class Rows(NamedTuple):
    """The rows of the grid that the rose may take."""

    first: int
    height: int


def dial_for(width: int, rows: Rows) -> Dial:
    """The largest circle that fits, as wide as the grid at most."""
    middle = (width - 0.5, 4 * rows.first + (4 * rows.height - 1) / 2)
    return Dial(middle, max(4.0, min(2 * width, 4 * rows.height) / 2 - _MARGIN_DOTS))


# A walker's course wanders over some tens of degrees: that many turns are worth keeping, at 10 to 60 kB each.
@lru_cache(maxsize=128)
def rose_for(width: int, height: int, rows: Rows, up_deg: int) -> Rose:
    """The rose with the bearing `up_deg` at the top."""
    grid, dial = Grid(width, height), dial_for(width, rows)
    grid.copy_from(_rim(width, height, rows))
    _draw_ticks(grid, dial, up_deg)
    inset = _letter_inset(dial.radius)
    _write_letters(grid, dial, up_deg, inset)
    return Rose(grid, dial, dial.radius - inset - 4 if inset else dial.radius - 4)


def _letter_inset(radius: float) -> float:
    """Small roses have their letters on the rim: inside it they would leave no room for anything else."""
    if radius >= FIGURES_FROM_DOTS:
        return 11
    return 8 if radius >= _INNER_LETTERS_FROM_DOTS else 0


@lru_cache(maxsize=4)
def _rim(width: int, height: int, rows: Rows) -> Grid:
    """What no turn changes. Two dots thick: a single ring of this ink looks broken."""
    grid, dial = Grid(width, height), dial_for(width, rows)
    grid.circle(dial.centre, dial.radius, Ink.FAINT)
    grid.circle(dial.centre, dial.radius - 0.8, Ink.FAINT)
    return grid


def _draw_ticks(grid: Grid, dial: Dial, up_deg: int) -> None:
    for bearing in range(0, 360, 10 if dial.radius >= _FINE_TICKS_FROM_DOTS else 30):
        reach = 2.5 if bearing % 30 else 4.5
        grid.line(dial.at(1, bearing - up_deg), dial.inside(reach, bearing - up_deg), Ink.FAINT)


def _write_letters(grid: Grid, dial: Dial, up_deg: int, inset: float) -> None:
    if dial.radius >= FIGURES_FROM_DOTS:
        for bearing in range(0, 360, 30):
            write_centred(grid, dial.inside(inset, bearing - up_deg), Span(f"{bearing:03d}", Ink.MUTED))
    for bearing, letter in CARDINALS:
        # As wide as the figure that it covers.
        text = f" {letter.text} " if dial.radius >= FIGURES_FROM_DOTS else letter.text
        write_centred(grid, dial.inside(inset, bearing - up_deg), letter._replace(text=text))
