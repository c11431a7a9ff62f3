"""Lines of a sheet whose second row stands under the words of the first, not under its key, number or dash."""

from __future__ import annotations

import textwrap

SHEET_WIDEST, FRAME = 76, 9
"""Columns of a sheet (screens.tcss), and how many of them frame, padding and scroll bar may take, with one of air."""
_LEAST = 10


def room_in_sheet(screen_width: int) -> int:
    """Columns for the words of a sheet on a screen of so many."""
    return max(_LEAST, min(screen_width, SHEET_WIDEST) - FRAME)


def hanging(text: str, width: int, indent: int) -> str:
    """At most `width` columns wide, rows after the first moved in by `indent`; not at all where that leaves no room."""
    moved = indent if indent + _LEAST < width else 0
    return textwrap.fill(text, max(_LEAST, width), subsequent_indent=" " * moved, break_on_hyphens=False)
