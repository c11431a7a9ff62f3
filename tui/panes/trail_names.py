"""Names beside the marks of the map: off every mark and each other by a blank, off the track where there is room."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import ceil, floor
from typing import NamedTuple

from tui.canvas.cells import fitted
from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Dot, Grid, Span
from tui.panes.places import Crowd

LONGEST = 18
"""Cells of a name; longer ones are cut, and marked as cut, where there is no more room with what comes after them."""
MOST_REMEMBERED = 512


class Block(NamedTuple):
    """The cells that a mark takes, the last ones included."""

    left: int
    top: int
    right: int
    bottom: int

    def places(self, length: int) -> Iterator[tuple[int, int]]:
        """Where a name so long may begin, the best first: beside the mark, above and below it, at its corners."""
        middle, level = (self.left + self.right - length + 1) // 2, (self.top + self.bottom) // 2
        after, before = self.right + 2, self.left - 1 - length
        yield from ((after, level), (before, level), (middle, self.top - 1), (middle, self.bottom + 1))
        for y in (self.top - 1, self.bottom + 1):
            yield from ((after - 1, y), (before + 1, y))


def around(dot: Dot, wide: float, high: float) -> Block:
    """The cells within so many dots of a dot, sideways, and up and down."""
    return Block(
        floor((dot[0] - wide + 0.5) / 2),
        floor((dot[1] - high + 0.5) / 4),
        ceil((dot[0] + wide + 0.5) / 2) - 1,
        ceil((dot[1] + high + 0.5) / 4) - 1,
    )


def drawn_cells(grid: Grid) -> Crowd:
    """Every cell with anything in it spoken for."""
    crowd = Crowd(grid.width, grid.height)
    for y in range(grid.height):
        for run in re.finditer("[^ ]+", grid.row_text(y, BRAILLE)):
            crowd.take(run.start(), y, run.end() - run.start())
    return crowd


class Names:
    """One frame's names."""

    def __init__(self, grid: Grid, drawn: Crowd, places: dict[str, int]) -> None:
        """`places` remembers from frame to frame where each name was, so that it does not jump, and is updated."""
        self._grid = grid
        self._clear = drawn.copy()
        self._marks = Crowd(grid.width, grid.height)
        self._places = places
        self._covered: set[tuple[int, int]] = set()
        if len(places) > MOST_REMEMBERED:
            places.clear()

    def take(self, block: Block) -> None:
        """Keep names off a mark."""
        for y in range(block.top, block.bottom + 1):
            for crowd in (self._clear, self._marks):
                crowd.take(block.left, y, block.right - block.left + 1)

    def cover(self, block: Block) -> None:
        """Cells of a mark so great that no other mark may show in them."""
        rows, columns = range(block.top, block.bottom + 1), range(block.left, block.right + 1)
        self._covered.update((x, y) for y in rows for x in columns)

    def is_covered(self, cell: tuple[int, int]) -> bool:
        """Whether a greater mark lies there."""
        return cell in self._covered

    def write(self, block: Block, name: Span, after: str = "") -> bool:
        """Write a name by a mark, and something after it; False when there is no room for it."""
        for room in dict.fromkeys((LONGEST, LONGEST - len(after))):
            text = f"{fitted(name.text.strip(), room)}{after}"
            found = self._place(name.text, list(block.places(len(text))), len(text)) if text.strip() else None
            if found is not None:
                self.take(Block(found[0], found[1], found[0] + len(text) - 1, found[1]))
                self._grid.put(*found, name._replace(text=text))
                return True
        return False

    def _place(self, name: str, places: list[tuple[int, int]], length: int) -> tuple[int, int] | None:
        """Where it was if that is free, else the first place off the track, else the first off all marks."""
        last = self._places.get(name)
        order = range(len(places)) if last is None else (last, *range(len(places)))
        for crowd in (self._clear, self._marks):
            for number in order:
                if crowd.is_free(*places[number], length):
                    self._places[name] = number
                    return places[number]
        self._places.pop(name, None)
        return None
