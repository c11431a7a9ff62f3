"""Rings and marks on the scatter. Their shapes differ, colour only adds.

A ring clears the cells that it runs through: over a cloud as dense as four hours of fixes nothing else would be seen of
it, in whatever characters.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from tui.canvas.grid import Dot, Grid, Span
from tui.canvas.inks import Ink

MEAN, NEWEST, LEFT_OUT = "+", "O", "x"
"""Letters, so that they look the same in every set of characters."""
_LEAST_RING = 1.5
"""Dots of radius below which a ring is hidden by the mean's own mark."""


class Ellipse(NamedTuple):
    """Around a dot, in dots."""

    centre: Dot
    major: float
    minor: float
    angle_deg: float
    """Of the longer axis, clockwise from straight up."""


def draw_ring(grid: Grid, ring: Ellipse, ink: Ink, *, dashed: bool = False) -> None:
    """An ellipse one dot thick, in cells that hold nothing else."""
    if ring.major < _LEAST_RING:
        return
    masks: dict[tuple[int, int], int] = {}
    for x, y in _around(ring, dashed=dashed):
        column, row = math.floor(x + 0.5), math.floor(y + 0.5)
        if 0 <= column < grid.dots_wide and 0 <= row < grid.dots_high:
            cell = column >> 1, row >> 2
            masks[cell] = masks.get(cell, 0) | 1 << ((row & 3) * 2 + (column & 1))
    for (x, y), mask in masks.items():
        grid.stamp(x, y, mask, ink)


def _around(ring: Ellipse, *, dashed: bool) -> Iterable[Dot]:
    """Points closer than a dot; with gaps, four dots of every eight."""
    count = max(16, math.ceil(2 * math.pi * ring.major * 1.3))
    turn = math.radians(ring.angle_deg)
    sine, cosine = math.sin(turn), math.cos(turn)
    for n in range(count):
        if dashed and n // 5 % 2:
            continue
        angle = 2 * math.pi * n / count
        ahead, right = ring.major * math.cos(angle), ring.minor * math.sin(angle)
        yield ring.centre[0] + ahead * sine + right * cosine, ring.centre[1] - ahead * cosine + right * sine


def draw_axes(grid: Grid, at: Dot, clear: float) -> None:
    """Dotted lines to the four sides, `clear` dots away from the mean: over the cloud they would only recolour it."""
    x, y = round(at[0]), round(at[1])
    right, bottom = grid.dots_wide - 1, grid.dots_high - 1
    for along in range(0, bottom, 4):
        if abs(along - y) > clear:
            grid.dot(x, along, Ink.FAINT)
    for along in range(0, right, 4):
        if abs(along - x) > clear:
            grid.dot(along, y, Ink.FAINT)
    if 0 <= x <= right:
        grid.put(x // 2, 0, Span("N", Ink.NORTH, bold=True))
    if 0 <= y <= bottom:
        grid.put(grid.width - 1, y // 4, Span("E", Ink.MUTED))


def put_letter(grid: Grid, at: Dot, letter: str, ink: Ink) -> None:
    """A letter in the cell of a dot."""
    grid.put(math.floor(at[0] + 0.5) >> 1, math.floor(at[1] + 0.5) >> 2, Span(letter, ink, bold=True))


def put_at_edge(grid: Grid, at: Dot, letter: str, ink: Ink) -> None:
    """The same, at the edge on the way to a dot that lies outside."""
    middle = (grid.dots_wide - 1) / 2, (grid.dots_high - 1) / 2
    across, down = at[0] - middle[0], at[1] - middle[1]
    share = min(1.0, *(m / max(abs(d), 1e-9) for m, d in zip(middle, (across, down), strict=True)))
    put_letter(grid, (middle[0] + across * share, middle[1] + down * share), letter, ink)


def name_ring(grid: Grid, ring: Ellipse, name: str, bearing_deg: float) -> None:
    """Its name just outside it, where there is room."""
    angle = math.radians(bearing_deg)
    x = ring.centre[0] + (ring.major + 2) * math.sin(angle)
    y = ring.centre[1] - (ring.major + 2) * math.cos(angle)
    column, row = math.floor(x) // 2, math.floor(y) // 4
    if column >= 0 and column + len(name) <= grid.width and 0 <= row < grid.height:
        grid.put(column, row, Span(name, Ink.MUTED))
