"""Large figures, to be read from an arm's length: one face of our own, five dots wide and seven high, in three sizes.

A dot of the face is a filled square of the grid, so it becomes whole or half blocks, quarters, or plain ASCII,
whatever the glyph set has; nothing depends on colours. What finds no room in any size is written as bold text.
"""

from __future__ import annotations

import re
from enum import IntEnum
from functools import lru_cache

from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Dot, Grid, Span


class Size(IntEnum):
    """The side of one dot of the face, in dots of the grid."""

    TEXT = 0
    """No face: bold text, one row."""
    SMALL = 2
    """Half a cell high: a figure takes 5 x 4 cells and stands at the bottom of them."""
    LARGE = 4
    """Two whole cells: a figure takes 10 x 7 cells, and even a terminal without block characters shows it well."""
    HUGE = 8
    """A figure takes 20 x 14 cells: for windows of many small cells."""


_ROWS = 7
_GAP = 1
"""Dots of the face between two characters."""

# Drawn by us. Figures are all of one width, so that they do not jump as they change; marks and letters are narrower.
FACE = {
    "0": ".###. #...# #...# #...# #...# #...# .###.",
    "1": "..#.. .##.. #.#.. ..#.. ..#.. ..#.. #####",
    "2": ".###. #...# ....# ...#. ..#.. .#... #####",
    "3": ".###. #...# ....# ..##. ....# #...# .###.",
    "4": "...#. ..##. .#.#. #..#. ##### ...#. ...#.",
    "5": "##### #.... ####. ....# ....# #...# .###.",
    "6": "..##. .#... #.... ####. #...# #...# .###.",
    "7": "##### ....# ...#. ...#. ..#.. ..#.. ..#..",
    "8": ".###. #...# #...# .###. #...# #...# .###.",
    "9": ".###. #...# #...# .#### ....# ...#. .##..",
    ".": ". . . . . . #",
    ",": ".. .. .. .. .. .# #.",
    ":": ". . # . . # .",
    "-": "... ... ... ### ... ... ...",
    "+": "..... ..#.. ..#.. ##### ..#.. ..#.. .....",
    "/": "....# ....# ...#. ..#.. .#... #.... #....",
    "°": ".#. #.# .#. ... ... ... ...",
    " ": ".. .. .. .. .. .. ..",
    "e": "..... ..... .###. #...# ##### #.... .###.",
    "f": ".## #.. ### #.. #.. #.. #..",
    "g": "..... ..... .#### #...# .#### ....# .###.",
    "h": "#.... #.... ####. #...# #...# #...# #...#",
    "i": "# . # # # # #",
    "k": "#... #... #..# #.#. ##.. #.#. #..#",
    "l": "# # # # # # #",
    "m": "..... ..... ##.#. #.#.# #.#.# #.#.# #.#.#",
    "n": "..... ..... ####. #...# #...# #...# #...#",
    "r": ".... .... #.## ##.. #... #... #...",
    "t": ".#. .#. ### .#. .#. .#. .##",
}
"""Seven rows a character. The letters are those of m, km, min, h, left and right."""


def extent(text: str, size: Size) -> tuple[int, int]:
    """Columns and rows that a text takes at a size; characters outside the face count as text."""
    if size is Size.TEXT or not is_drawn(text):
        return len(one_cell_each(text)), 1
    dots = sum(_width(char) + _GAP for char in text) - _GAP
    return max(0, dots) * size // 2, -(-_ROWS * size // 4)


def is_drawn(text: str) -> bool:
    """Whether the face has every character of a text."""
    return all(char in FACE for char in text)


def size_for(text: str, width: int, height: int) -> Size:
    """The largest size at which a text fits into so many cells; TEXT where none does, fitting or not."""
    if is_drawn(text):
        for size in (Size.HUGE, Size.LARGE, Size.SMALL):
            wide, high = extent(text, size)
            if wide <= width and high <= height:
                return size
    return Size.TEXT


def put_large(grid: Grid, at: tuple[int, int], span: Span, size: Size) -> int:
    """Write a span with its upper left corner in a cell, and return the column after it, clipped or not.

    Always bold as text; a text with a character that the face lacks is text at any size. The span's paper is for text
    alone.
    """
    if size is Size.TEXT or not is_drawn(span.text):
        return grid.put(*at, span._replace(bold=True))
    left, top = 2 * at[0], 4 * (at[1] + extent(span.text, size)[1]) - _ROWS * size
    for char in span.text:
        for start, end, row in _bars(char):
            grid.polygon(_oblong((left + start * size, top + row * size), (end - start) * size, size), span.ink)
        left += (_width(char) + _GAP) * size
    return at[0] + extent(span.text, size)[0]


def _oblong(at: tuple[int, int], width: int, height: int) -> tuple[Dot, ...]:
    """Corners that fill so many dots, `at` the first: rows count when they lie between corners, hence the halves."""
    left, right, top, bottom = at[0], at[0] + width - 1, at[1] - 0.5, at[1] + height - 0.5
    return (left, top), (right, top), (right, bottom), (left, bottom)


def _width(char: str) -> int:
    return FACE[char].index(" ")


@lru_cache(maxsize=len(FACE))
def _bars(char: str) -> tuple[tuple[int, int, int], ...]:
    """Each run of black dots: where it starts, where it has ended, in which row."""
    rows = enumerate(FACE[char].split())
    return tuple((*found.span(), row) for row, dots in rows for found in re.finditer("#+", dots))
