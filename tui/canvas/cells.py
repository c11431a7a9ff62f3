"""Any text in characters of one terminal cell each, cut to the room there is.

What a character may be is decided in `core.safe_text`, for every screen and paper alike.
"""

from __future__ import annotations

from core.safe_text import CUT, STAND_IN, one_cell_each

__all__ = ["CUT", "STAND_IN", "fitted", "one_cell_each"]


def fitted(text: str, width: int) -> str:
    """The text in one cell each, cut to `width` cells and marked with `~` where it was cut."""
    clean = one_cell_each(text)
    return clean if len(clean) <= width else clean[: max(0, width - 1)] + CUT[: max(0, width)]
