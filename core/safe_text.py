"""The one place where text from outside is made safe to show.

Names and messages come from receivers, files, networks and command lines. They may hold what a terminal obeys (escapes,
controls), what reorders a line, what has no width or two. Each character that cannot be shown leaves a `?`, so that
whoever reads sees that something was there; nothing outside the text's own field may change by it.

    one_cell_each   for the board's cells: each character is one cell
    one_line        for lines of the shell, of files and of paper: wide letters stay, `cells` measures them
    laid_out        for a browser, which measures for itself
    as_typed        for lines to type into: what is pasted is nobody's own words
    quoted          for messages: short, in quotes

Exports and JSON are no screens: they keep every character that their own rules allow.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator
from functools import lru_cache

STAND_IN = "?"
"""In the place of what cannot be shown. Plain ASCII: U+FFFD is itself of ambiguous width."""
CUT = "~"
"""The last character of a text that was cut short; the ellipsis is of ambiguous width."""
MOST_QUOTED = 40
"""Characters of a text in a message: enough to know it by."""
_MOST_MARKS = 2
"""Combining marks on one letter, as Vietnamese and Thai have them; a pile of them reaches into the lines around it."""

# Letters of right-to-left scripts are in: a terminal that reorders a line by them carries the figures beside them
# along, and a position read in the wrong order is worse than a name not shown.
_REORDERING = frozenset({"R", "AL", "AN", "RLE", "LRE", "RLO", "LRO", "PDF", "RLI", "LRI", "FSI", "PDI"})
_UNSHOWABLE = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Mc", "Me", "Zl", "Zp"})
# Emoji and all around them: terminals and width tables disagree on them, and flags fuse two into one. Ideographs lie
# beyond, in planes 2 and 3.
_FIRST_EMOJI, _LAST_EMOJI = "\U0001f000", "\U0001faff"
# Letters without a width of their own (Hangul vowels and finals, fillers), and symbols that became wide in Unicode 16:
# which it is depends on how old the terminal is.
_UNSETTLED = (
    ("\u1160", "\u11ff"), ("\u2630", "\u2637"), ("\u268a", "\u268f"), ("\u3164", "\u3164"), ("\u4dc0", "\u4dff"),
    ("\ud7b0", "\ud7fb"), ("\uffa0", "\uffa0"), ("\U0001d300", "\U0001d376"),
)  # fmt: skip
# Marks that say how the character before them looks, and so may change its width; they show nothing themselves. The
# last but one was a mark without width in Unicode 14 and is a spacing one now (from wcwidth's table).
_SELECTORS = (
    ("\u034f", "\u034f"), ("\u17b4", "\u17b5"), ("\u180b", "\u180f"), ("\ufe00", "\ufe0f"),
    ("\U0001171e", "\U0001171e"), ("\U000e0100", "\U000e01ef"),
)  # fmt: skip


def one_cell_each(text: str) -> str:
    """The text, composed where possible, each character that is not one printable cell replaced by `?` or a blank."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_cell, unicodedata.normalize("NFC", text)))


def one_line(text: str) -> str:
    """The text, composed where possible, with `?` for each character that has no settled width or ends the line.

    Blanks of all kinds become spaces, tabs and ends of lines do not.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_with_marks(unicodedata.normalize("NFC", text), _in_line))


def laid_out(text: str, stand_in: str = STAND_IN) -> str:
    """The text with stand-ins for controls, marks that reorder a line, halves of characters, and piles of marks."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_with_marks(text, lambda char: char if char.isprintable() else stand_in, stand_in))


def as_typed(text: str) -> str:
    """What keys could have typed of a text that was pasted, lines as they stand: everything unseen is left out."""
    lines = (line.replace("\t", " ") for line in text.splitlines())
    return "\n".join("".join(char for char in line if char.isprintable()) for line in lines)


def cells(text: str) -> int:
    """Columns that a text takes which has been made safe here: wide letters two, combining marks none (UAX 11)."""
    return len(text) if text.isascii() else sum(map(_width, text))


def padded(text: str, width: int) -> str:
    """The text and blanks behind it, up to `width` columns."""
    return text + " " * (width - cells(text))


def quoted(text: str, most: int = MOST_QUOTED) -> str:
    """As it may stand in a message: at most so many characters, between quotes."""
    return f"“{one_line(text[:most])}{'...' if len(text) > most else ''}”"


def _with_marks(text: str, shown: Callable[[str], str], stand_in: str = STAND_IN) -> Iterator[str]:
    # So many stand on the letter before; at the beginning, and on anything but a letter or figure, no more are let in.
    standing = _MOST_MARKS
    for char in text:
        if _is_mark(char):
            standing += 1
            yield char if standing <= _MOST_MARKS else stand_in
        else:
            standing = 0 if char.isalnum() else _MOST_MARKS
            yield shown(char)


@lru_cache(maxsize=4096)
def _cell(char: str) -> str:
    if char.isspace():
        return " "
    return STAND_IN if _is_mark(char) or _in_line(char) != char or _width(char) != 1 else char


@lru_cache(maxsize=4096)
def _in_line(char: str) -> str:
    kind = unicodedata.category(char)
    if kind == "Zs":
        return " "
    hostile = (
        kind in _UNSHOWABLE
        or kind == "Mn"
        or _FIRST_EMOJI <= char <= _LAST_EMOJI
        or unicodedata.bidirectional(char) in _REORDERING
        or _is_of(char, _UNSETTLED)
    )
    return STAND_IN if hostile else char


@lru_cache(maxsize=4096)
def _is_mark(char: str) -> bool:
    return unicodedata.category(char) == "Mn" and not _is_of(char, _SELECTORS)


def _width(char: str) -> int:
    if unicodedata.category(char) == "Mn":
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def _is_of(char: str, ranges: tuple[tuple[str, str], ...]) -> bool:
    return any(first <= char <= last for first, last in ranges)
