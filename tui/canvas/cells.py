"""Turning any text into characters that take one terminal cell each.

Names come from receivers, files and networks: they may hold terminal escapes, characters that reorder a line, or ones
two cells wide. One of those in a grid would shift every cell to its right, or let a name overwrite a figure.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from rich.cells import get_character_cell_size

STAND_IN = "?"
"""In the place of what cannot be shown. Plain ASCII: U+FFFD is itself of ambiguous width."""
CUT = "~"
"""The last character of a text that was cut short; the ellipsis is of ambiguous width."""

# Letters of right-to-left scripts are in: a terminal that reorders a line by them carries the figures beside them
# along, and a position read in the wrong order is worse than a name not shown.
_REORDERING = frozenset({"R", "AL", "AN", "RLE", "LRE", "RLO", "LRO", "PDF", "RLI", "LRI", "FSI", "PDI"})
_UNSHOWABLE = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Mn", "Mc", "Me", "Zl", "Zp"})
# Emoji and all that lies above: terminals and width tables disagree on them, and flags fuse two into one.
_FIRST_EMOJI = "\U0001f000"


@lru_cache(maxsize=4096)
def _cell(char: str) -> str:
    if char.isspace():
        return " "
    hostile = (
        char >= _FIRST_EMOJI
        or unicodedata.category(char) in _UNSHOWABLE
        or unicodedata.bidirectional(char) in _REORDERING
        or unicodedata.east_asian_width(char) in "WF"
        or get_character_cell_size(char) != 1
    )
    return STAND_IN if hostile else char


def one_cell_each(text: str) -> str:
    """The text, composed where possible, each character that is not one printable cell replaced by `?` or a blank."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_cell, unicodedata.normalize("NFC", text)))


def fitted(text: str, width: int) -> str:
    """The text in one cell each, cut to `width` cells and marked with `~` where it was cut."""
    clean = one_cell_each(text)
    return clean if len(clean) <= width else clean[: max(0, width - 1)] + CUT[: max(0, width)]
