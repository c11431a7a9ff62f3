"""What is known before anything is opened: what the command line says of it."""

from __future__ import annotations

from typing import NamedTuple


class FirstWords(NamedTuple):
    """For the first frame."""

    watched: str = ""
    """What will be opened, by the name that the board gives it; empty while the user has yet to choose."""
    is_recording: bool = False
    """Whether it gets a time bar."""
    is_held: bool = False
    """Whether it is a saved place, which needs no receiver to have a position."""
