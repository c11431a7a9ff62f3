"""How far beside the leg you are, on one row: a tick for the leg's line, a block where you are, words beside it.

Right of the tick is right of the leg, seen along it. All plain characters but the block, which is one in any glyph set.
"""

from __future__ import annotations

from math import isfinite
from typing import NamedTuple

from core.units import UNITS, Units, in_use
from tui import wording
from tui.canvas.cells import fitted
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink

ON_LEG_M = 2.0
"""Nearer than this nobody walks back, nor can a receiver tell (common practice, no source)."""
_STEPS = {"m": (10, 25, 100, 250), "yd": (10, 25, 100, 250), "ft": (25, 100, 250, 1000)}
_LONG_STEPS = {"km": (1, 5, 25), "mi": (0.5, 2, 10), "NM": (0.5, 2, 10)}
"""From the tick to either end of the bar, by unit. Our own steps: each shows the least of its distances a fifth of the
way out or farther, so none is taken for on the leg."""


def scales_in(units: Units) -> tuple[tuple[float, str], ...]:
    """Reach in metres, and in words."""
    short, long = UNITS[units.short], UNITS[units.distance]
    steps = (*((step, short) for step in _STEPS[units.short]), *((step, long) for step in _LONG_STEPS[units.distance]))
    return tuple((step * unit.size, f"{step:g} {unit.name}") for step, unit in steps)


_COMFORTABLE, _LEAST = 11, 5
"""Cells of the bar that longer words give way to, and without which there is none."""


class _Form(NamedTuple):
    """What stands around the bar."""

    left: str
    right: str
    words: str

    @property
    def taken(self) -> int:
        """Cells beside the bar, a margin on both sides and the blanks between included."""
        return 3 + sum(len(text) + 1 for text in self if text)


def leg_words(cross_track_m: float) -> str:
    """How far beside the leg, for example `12 m right of the leg`; right is positive."""
    if abs(cross_track_m) < ON_LEG_M:
        return "on the leg"
    return f"{wording.distance(abs(cross_track_m))} {'right' if cross_track_m > 0 else 'left'} of the leg"


def scale_for(cross_track_m: float) -> tuple[float, str]:
    """The smallest scale that holds this distance, else the largest."""
    scales = scales_in(in_use())
    return next((scale for scale in scales if abs(cross_track_m) <= scale[0]), scales[-1])


def write_track_bar(grid: Grid, y: int, cross_track_m: float | None, *, stale: bool = False) -> None:
    """Write the bar and its words into row `y`, which must be blank; None, or no number, leaves it so."""
    if cross_track_m is None or not isfinite(cross_track_m):
        return
    ink = Ink.STALE if stale else Ink.TEXT
    forms = _forms(cross_track_m)
    form = next((one for one in forms if grid.width - one.taken >= _COMFORTABLE), forms[-1])
    cells = grid.width - form.taken
    if cells < _LEAST:
        grid.put(1, y, Span(fitted(form.words, grid.width - 2), ink, bold=not stale))
        return
    x = grid.text(1, y, f"{form.left} " if form.left else "", Ink.MUTED)
    _draw_bar(grid, (x, y), (cells - 1) // 2, (cross_track_m, ink))
    x += (cells - 1) // 2 * 2 + 2
    x = grid.text(x, y, f"{form.right} " if form.right else "", Ink.MUTED)
    grid.put(x + 1, y, Span(form.words, ink, bold=not stale))


def _forms(cross_track_m: float) -> tuple[_Form, ...]:
    """The most telling first."""
    full, scale = leg_words(cross_track_m), scale_for(cross_track_m)[1]
    # Never without the leg: "12 m right" alone may be taken for the way to go.
    short = full.replace(" the ", " ")
    return _Form(scale, scale, full), _Form(scale, "", full), _Form(scale, "", short), _Form("", "", short)


def _draw_bar(grid: Grid, at: tuple[int, int], half: int, here: tuple[float, Ink]) -> None:
    """Ticks at both ends and in the middle, `half` cells apart; the block hides what is below it."""
    (x, y), (cross_track_m, ink) = at, here
    reach = scale_for(cross_track_m)[0]
    line = list(f"|{'-' * (half - 1)}|{'-' * (half - 1)}|")
    if abs(cross_track_m) > reach:
        line[0 if cross_track_m < 0 else -1] = "<" if cross_track_m < 0 else ">"
        block = None
    else:
        block = half + round(cross_track_m / reach * half)
    for n, char in enumerate(line):
        if n != block:
            grid.put(x + n, y, Span(char, ink if char in "<>" or n == half else Ink.FAINT, bold=char in "<>"))
    if block is not None:
        left, top = 2 * (x + block), 4 * y
        grid.polygon(((left, top - 0.5), (left + 1, top - 0.5), (left + 1, top + 3.5), (left, top + 3.5)), ink)
