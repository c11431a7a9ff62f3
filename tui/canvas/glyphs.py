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


def _braille(mask: int) -> str:
    return chr(0x2800 + sum(1 << to for bit, to in enumerate(_BRAILLE_BITS) if mask >> bit & 1)) if mask else " "


def _quarters(mask: int) -> str:
    """A quarter is black when one of its two dots is: a thin line must not vanish."""
    quarters = (0x05, 0x0A, 0x50, 0xA0)
    return _QUARTERS[sum(1 << n for n, dots in enumerate(quarters) if mask & dots)]


def _shape_mask(shape: str) -> int:
    return sum(1 << bit for bit, dot in enumerate(shape.replace(" ", "")) if dot == "#")


_PLAIN_MASKS = {char: _shape_mask(shape) for char, shape in _PLAIN_SHAPES.items()}


def _plain(mask: int) -> str:
    """The character whose own shape differs from the mask in the fewest dots."""
    if not mask:
        return " "
    return min(_PLAIN_MASKS, key=lambda char: ((_PLAIN_MASKS[char] ^ mask).bit_count(), _PLAIN_MASKS[char]))


def _plain_fill(mask: int) -> str:
    return "#" if mask.bit_count() >= 5 else _plain(mask)


def _table(glyph: Callable[[int], str]) -> tuple[str, ...]:
    return tuple(glyph(mask) for mask in range(256))


BRAILLE = GlyphSet("braille", _table(_braille), _table(_quarters))
"""The finest: dots for lines, quarter blocks for areas."""
QUADRANT = GlyphSet("quadrant", _table(_quarters), _table(_quarters))
"""For fonts without braille."""
PLAIN = GlyphSet("plain", _table(_plain), _table(_plain_fill))
"""ASCII alone: Linux consoles, serial terminals, locales that are not UTF-8."""

GLYPH_SETS = {glyphs.name: glyphs for glyphs in (BRAILLE, QUADRANT, PLAIN)}


def glyphs_for(name: str) -> GlyphSet:
    """The set of that name: braille, quadrant or plain.

    Raises:
        KeyError: no set has that name.
    """
    return GLYPH_SETS[name]
