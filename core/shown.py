"""Values as they may stand in a message: short, and nothing that a terminal would obey."""

from __future__ import annotations

SHOWN_CHARACTERS = 40


def shown(value: object) -> str:
    """As Python would write it, its first characters where it is long."""
    try:
        text = repr(value[: SHOWN_CHARACTERS + 1] if isinstance(value, str) else value)
    except ValueError:  # Python writes no integers of more than 4300 digits
        text = "a number without end"
    return text if len(text) <= SHOWN_CHARACTERS else f"{text[:SHOWN_CHARACTERS]}..."
