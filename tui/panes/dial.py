"""What the round panes share: where the circle lies, and how to write around and beside it."""

from __future__ import annotations

from math import floor, radians, sqrt
from textwrap import wrap
from typing import NamedTuple

from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Dot, Grid, Span, polar
from tui.canvas.inks import Ink

CARDINALS = (
    (0, Span("N", Ink.NORTH, bold=True)),
    (90, Span("E", Ink.TEXT, bold=True)),
    (180, Span("S", Ink.TEXT, bold=True)),
    (270, Span("W", Ink.TEXT, bold=True)),
)
"""Bearing and letter."""


class Dial(NamedTuple):
    """A circle in a grid, in dots."""

    centre: Dot
    radius: float

    def at(self, share: float, angle_deg: float) -> Dot:
        """The dot at a share of the radius (1 is the rim), clockwise from the top of the grid."""
        return polar(self.centre, self.radius * share, radians(angle_deg))

    def inside(self, inset: float, angle_deg: float) -> Dot:
        """The dot so many dots inside the rim; a negative inset lies outside."""
        return polar(self.centre, self.radius - inset, radians(angle_deg))

    def free_beside(self, y: int, clear: float) -> int:
        """Cells free left of the circle in row `y`, `clear` dots kept off the rim; half the grid beyond its ends."""
        reach = self.radius + clear
        nearest = max(0.0, abs(4 * y + 1.5 - self.centre[1]) - 2)
        half = sqrt(max(0.0, reach * reach - nearest * nearest))
        return max(0, floor((self.centre[0] - max(half, 1)) / 2))


def write_centred(grid: Grid, at: Dot, span: Span) -> tuple[int, int]:
    """Write a text so that its middle lies on a dot, and return its first cell."""
    x, y = floor((at[0] + 0.5) / 2 - len(span.text) / 2 + 0.5), floor(at[1] + 0.5) // 4
    grid.put(x, y, span)
    return x, y


def write_lines(grid: Grid, at: Dot, text: str, width: int) -> None:
    """Write a remark of a few words around a dot, broken to lines of at most `width` cells."""
    lines = wrap(one_cell_each(text), max(8, width))
    for n, line in enumerate(lines):
        write_centred(grid, (at[0], at[1] + 4 * (n - (len(lines) - 1) / 2)), Span(f" {line} ", Ink.MUTED))


def up_span(up_deg: float, *, stale: bool) -> Span:
    """What stands at the right of a round pane's title: which way is up, or that the picture is old."""
    if stale:
        return Span("not current", Ink.WARN)
    up = round(up_deg) % 360
    return Span(f"up is {up:03d}° true" if up else "north is up", Ink.MUTED)
