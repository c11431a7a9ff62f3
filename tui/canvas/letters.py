"""A whole alphabet of large letters, to be read from the back of a room: the face of the figures and what it lacks.

A letter is five dots of the face wide at most and seven high. How many dots of the grid such a dot takes is a `Scale`;
whatever the glyph set has (quarter blocks, or plain ASCII) then stands for them. Where a dot of the face is large
enough its corners are rounded, so that slanting strokes do not fall into steps.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import NamedTuple

from tui.canvas.cells import STAND_IN, one_cell_each
from tui.canvas.digits import FACE as FIGURES
from tui.canvas.grid import Grid, Span


class Scale(NamedTuple):
    """Dots of the grid that one dot of the face takes; a cell is two wide and four high."""

    wide: int
    high: int


TEXT = Scale(0, 0)
"""No face: bold text, one row."""
SCALES = (
    Scale(12, 12),
    Scale(8, 12),
    Scale(8, 8),
    Scale(6, 8),
    Scale(4, 8),
    Scale(4, 4),
    Scale(3, 4),
    Scale(2, 4),
    Scale(2, 2),
    Scale(1, 2),
    TEXT,
)
"""The largest first. 12 is 21 rows a letter, 8 is 14, 4 is 7, 2 is 4; narrow ones where a line is long.

Heights are whole or half cells: quarter blocks have no finer step, and strokes of two thicknesses look broken."""
ROWS = 7
_GAP = 1

# Drawn by us. Small letters with tails keep them within the seven rows: lines stand closer, and so larger.
_LETTERS = {
    "A": ".###. #...# #...# ##### #...# #...# #...#",
    "B": "####. #...# #...# ####. #...# #...# ####.",
    "C": ".###. #...# #.... #.... #.... #...# .###.",
    "D": "####. #...# #...# #...# #...# #...# ####.",
    "E": "##### #.... #.... ####. #.... #.... #####",
    "F": "##### #.... #.... ####. #.... #.... #....",
    "G": ".###. #...# #.... #.### #...# #...# .###.",
    "H": "#...# #...# #...# ##### #...# #...# #...#",
    "I": "### .#. .#. .#. .#. .#. ###",
    "J": "..### ...#. ...#. ...#. ...#. #..#. .##..",
    "K": "#...# #..#. #.#.. ##... #.#.. #..#. #...#",
    "L": "#.... #.... #.... #.... #.... #.... #####",
    "M": "#...# ##.## #.#.# #.#.# #...# #...# #...#",
    "N": "#...# ##..# ##..# #.#.# #..## #..## #...#",
    "O": ".###. #...# #...# #...# #...# #...# .###.",
    "P": "####. #...# #...# ####. #.... #.... #....",
    "Q": ".###. #...# #...# #...# #.#.# #..#. .##.#",
    "R": "####. #...# #...# ####. #.#.. #..#. #...#",
    "S": ".###. #...# #.... .###. ....# #...# .###.",
    "T": "##### ..#.. ..#.. ..#.. ..#.. ..#.. ..#..",
    "U": "#...# #...# #...# #...# #...# #...# .###.",
    "V": "#...# #...# #...# #...# .#.#. .#.#. ..#..",
    "W": "#...# #...# #...# #.#.# #.#.# ##.## #...#",
    "X": "#...# #...# .#.#. ..#.. .#.#. #...# #...#",
    "Y": "#...# #...# .#.#. ..#.. ..#.. ..#.. ..#..",
    "Z": "##### ....# ...#. ..#.. .#... #.... #####",
    "a": "..... ..... .###. ....# .#### #...# .####",
    "b": "#.... #.... ####. #...# #...# #...# ####.",
    "c": ".... .... .### #... #... #... .###",
    "d": "....# ....# .#### #...# #...# #...# .####",
    "j": "..# ... ..# ..# ..# #.# .#.",
    "l": "#. #. #. #. #. #. ##",
    "o": "..... ..... .###. #...# #...# #...# .###.",
    "p": "..... ..... ####. #...# #...# ####. #....",
    "q": "..... ..... .#### #...# #...# .#### ....#",
    "s": ".... .... .### #... .##. ...# ###.",
    "u": "..... ..... #...# #...# #...# #...# .####",
    "v": "..... ..... #...# #...# #...# .#.#. ..#..",
    "w": "..... ..... #...# #.#.# #.#.# #.#.# .#.#.",
    "x": "..... ..... #...# .#.#. ..#.. .#.#. #...#",
    "y": "..... ..... #...# #...# .#### ....# .###.",
    "z": "..... ..... ##### ...#. ..#.. .#... #####",
    "'": "# # . . . . .",
    '"': "#.# #.# ... ... ... ... ...",
    "!": "# # # # # . #",
    "?": ".###. #...# ....# ...#. ..#.. ..... ..#..",
    "%": "##..# ##..# ...#. ..#.. .#... #..## #..##",
    "&": ".##.. #..#. #.#.. .#... #.#.# #..#. .##.#",
    "#": ".#.#. .#.#. ##### .#.#. ##### .#.#. .#.#.",
    "$": "..#.. .#### #.#.. .###. ..#.# ####. ..#..",
    "(": ".# #. #. #. #. #. .#",
    ")": "#. .# .# .# .# .# #.",
    "[": "## #. #. #. #. #. ##",
    "]": "## .# .# .# .# .# ##",
    "{": "..# .#. .#. #.. .#. .#. ..#",
    "}": "#.. .#. .#. ..# .#. .#. #..",
    "<": "...# ..#. .#.. #... .#.. ..#. ...#",
    ">": "#... .#.. ..#. ...# ..#. .#.. #...",
    "*": "..... ..#.. #.#.# .###. #.#.# ..#.. .....",
    "=": ".... .... #### .... #### .... ....",
    ";": ".. .. .# .. .. .# #.",
    "@": ".###. #...# #.### #.#.# #.### #.... .###.",
    "\\": "#.... #.... .#... ..#.. ...#. ....# ....#",
    "^": "..#.. .#.#. #...# ..... ..... ..... .....",
    "_": "..... ..... ..... ..... ..... ..... #####",
    "`": "#. .# .. .. .. .. ..",
    "|": "# # # # # # #",
    "~": "..... ..... .#... #.#.# ...#. ..... .....",
}
_DOTTED_ZERO = ".###. #...# #...# #.#.# #...# #...# .###."
"""Beside letters: a locator has both, and a plain zero is the letter O."""
_FACE = FIGURES | _LETTERS | {"0": _DOTTED_ZERO}


def lettered(text: str) -> str:
    """The text in characters that the face has: accents fall off, what is left over becomes a question mark."""
    clean = one_cell_each(text)
    if clean.isascii():
        return clean
    return "".join(char if char in _FACE else _bare(char) for char in clean)


def _bare(char: str) -> str:
    first = unicodedata.normalize("NFKD", char)[:1]
    return first if first in _FACE else STAND_IN


def span_of(text: str, scale: Scale) -> tuple[int, int]:
    """Columns and rows that a text takes at a scale."""
    clean = lettered(text)
    if scale == TEXT:
        return len(clean), 1
    dots = sum(_width(char) + _GAP for char in clean) - _GAP
    return max(0, -(-dots * scale.wide // 2)), -(-ROWS * scale.high // 4)


def put_letters(grid: Grid, at: tuple[int, int], span: Span, scale: Scale) -> int:
    """Write a span with its upper left corner in a cell, and return the column after it, clipped or not.

    Letters stand at the bottom of their rows. The span's paper is for text alone.
    """
    clean = lettered(span.text)
    if scale == TEXT:
        return grid.put(*at, span._replace(text=clean, bold=True))
    wide, high = span_of(clean, scale)
    corner = 2 * at[0], 4 * (at[1] + high) - ROWS * scale.high
    for char in clean:
        _put_one(grid, corner, (char, scale), span)
        corner = corner[0] + (_width(char) + _GAP) * scale.wide, corner[1]
    return at[0] + wide


def _put_one(grid: Grid, corner: tuple[int, int], letter: tuple[str, Scale], span: Span) -> None:
    char, scale = letter
    smoothed = _is_smooth(scale)
    wide, high = (scale.wide // 2, scale.high // 2) if smoothed else scale
    for start, end, row in _bars(char, smooth=smoothed):
        left, top = corner[0] + start * wide, corner[1] + row * high - 0.5
        right, bottom = corner[0] + end * wide - 1, top + high
        grid.polygon(((left, top), (right, top), (right, bottom), (left, bottom)), span.ink)


def _is_smooth(scale: Scale) -> bool:
    """Whether half a dot of the face is still a whole number of quarter blocks."""
    return scale.wide % 2 == 0 and scale.high % 4 == 0 and scale.wide >= 4


def _width(char: str) -> int:
    return _FACE[char].index(" ")


@lru_cache(maxsize=512)
def _bars(char: str, *, smooth: bool) -> tuple[tuple[int, int, int], ...]:
    """Each run of black dots: where it starts, where it has ended, in which row; smooth ones count half dots."""
    rows = _FACE[char].split()
    drawn = _rounded(rows) if smooth else rows
    return tuple((*found.span(), y) for y, dots in enumerate(drawn) for found in re.finditer("#+", dots))


def _rounded(rows: list[str]) -> list[str]:
    """Twice as many dots each way, corners filled or cut where two neighbours agree (the rule known as Scale2x)."""
    size = len(rows), len(rows[0])
    quarters = {(y, x): _quarter(rows, (y, x)) for y in range(size[0]) for x in range(size[1])}
    return [
        "".join(quarters[y, x][half][side] for x in range(size[1]) for side in (0, 1))
        for y in range(size[0])
        for half in (0, 1)
    ]


def _quarter(rows: list[str], at: tuple[int, int]) -> tuple[str, str]:
    """The four dots that one becomes, in two rows of two."""
    y, x = at
    up, right, left, down = (_dot(rows, spot) for spot in ((y - 1, x), (y, x + 1), (y, x - 1), (y + 1, x)))
    own = rows[y][x]
    upper = left if left == up and left != down and up != right else own
    upper += right if up == right and up != left and right != down else own
    lower = left if down == left and down != right and left != up else own
    lower += right if right == down and right != up and down != left else own
    return upper, lower


def _dot(rows: list[str], at: tuple[int, int]) -> str:
    y, x = at
    return rows[y][x] if 0 <= y < len(rows) and 0 <= x < len(rows[0]) else "."
