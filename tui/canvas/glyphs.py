"""Which character shows which dots: one table for each set of characters a terminal's font may have.

A cell is two dots wide and four high. A mask has one bit a dot, row by row: bit = 2 * row + column. A mask without dots
is always a plain blank, which joins its neighbours' run and costs no colour change.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

FULL = 0xFF

_BRAILLE_BITS = (0, 3, 1, 4, 2, 5, 6, 7)
"""Our bit n is this bit of U+2800 + bits (The Unicode Standard, section 21.1: dots 1, 2, 3, 7 are the left column)."""

_QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""By bits: upper left 1, upper right 2, lower left 4, lower right 8 (Unicode block "Block Elements")."""

# How much of its cell each ASCII character blackens in a common terminal face: four rows of two dots, drawn by eye.
_PLAIN_SHAPES = {
    "'": ".# .. .. ..",
    '"': "## .. .. ..",
    "-": ".. ## .. ..",
    "=": ".. ## ## ..",
    ".": ".. .. .. #.",
    "_": ".. .. .. ##",
    ":": ".. #. .. #.",
    "|": ".# .# .# .#",
    "/": ".# .# #. #.",
    "\\": "#. #. .# .#",
    "+": ".# ## ## .#",
    "#": "## ## ## ##",
}


class GlyphSet(NamedTuple):
    """The two tables of one set, each by mask, 0 to 255."""

    name: str
    lines: tuple[str, ...]
    """For dots and lines."""
    fills: tuple[str, ...]
    """For filled shapes: braille dots do not close up into an area."""


def _by_halves(bit_of: Callable[[int], int]) -> list[int]:
    """For every mask what `bit_of` says of its dots, taken together: put together from two tables of sixteen halves."""
    upper, lower = ([_joined(half, first, bit_of) for half in range(16)] for first in (0, 4))
    return [one | other for other in lower for one in upper]


def _joined(half: int, first: int, bit_of: Callable[[int], int]) -> int:
    found = 0
    for n in range(4):
        if half >> n & 1:
            found |= bit_of(first + n)
    return found


def _shape_mask(shape: str) -> int:
    return sum(1 << bit for bit, dot in enumerate(shape.replace(" ", "")) if dot == "#")


def _plain() -> tuple[str, ...]:
    """The characters whose own shapes differ from the masks in the fewest dots."""
    shapes = [(_shape_mask(shape), char) for char, shape in _PLAIN_SHAPES.items()]
    return (" ", *(min([((own ^ mask).bit_count(), own, char) for own, char in shapes])[2] for mask in range(1, 256)))


# Tables and halves of masks, since all of this is made at every start.
_LINES = tuple(chr(0x2800 + bits) if bits else " " for bits in _by_halves(lambda dot: 1 << _BRAILLE_BITS[dot]))
# A quarter is black when one of its two dots is: a thin line must not vanish.
_BLOCKS = tuple(_QUARTERS[bits] for bits in _by_halves(lambda dot: 1 << (dot >> 2 << 1 | dot & 1)))
_ASCII = _plain()
_ASCII_FILLS = tuple("#" if mask.bit_count() >= 5 else char for mask, char in enumerate(_ASCII))

BRAILLE = GlyphSet("braille", _LINES, _BLOCKS)
"""The finest: dots for lines, quarter blocks for areas."""
QUADRANT = GlyphSet("quadrant", _BLOCKS, _BLOCKS)
"""For fonts without braille."""
PLAIN = GlyphSet("plain", _ASCII, _ASCII_FILLS)
"""ASCII alone: Linux consoles, serial terminals, locales that are not UTF-8."""

GLYPH_SETS = {glyphs.name: glyphs for glyphs in (BRAILLE, QUADRANT, PLAIN)}


def glyphs_for(name: str) -> GlyphSet:
    """The set of that name: braille, quadrant or plain.

    Raises:
        KeyError: no set has that name.
    """
    return GLYPH_SETS[name]
