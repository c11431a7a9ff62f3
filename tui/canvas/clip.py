"""Cutting a line to what can be seen of it: its ends may lie a thousand kilometres off the map."""

from __future__ import annotations

from tui.canvas.grid import Dot


def clipped(start: Dot, end: Dot, size: tuple[int, int]) -> tuple[Dot, Dot] | None:
    """The part of a line within a grid of so many dots, one dot more on each side; None when there is none.

    Liang and Barsky's method (1984, from memory): each edge says from or up to which share of the line it can be seen.
    """
    (x, y), (dx, dy) = start, (end[0] - start[0], end[1] - start[1])
    first, last = 0.0, 1.0
    for along, room in ((-dx, x + 1), (dx, size[0] - x), (-dy, y + 1), (dy, size[1] - y)):
        if along == 0:
            if room < 0:
                return None
        elif along < 0:
            first = max(first, room / along)
        else:
            last = min(last, room / along)
    if first > last:
        return None
    return (x + dx * first, y + dy * first), (x + dx * last, y + dy * last)
