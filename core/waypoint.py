"""One named place, as everything above the files speaks of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.fix import Position

NAME_LIMIT = 80
"""Characters of a name or kind that are kept: a line of a terminal, our own choice."""
NOTE_LIMIT = 400
"""Characters of a note that are kept: a paragraph, our own choice."""


@dataclass(frozen=True, slots=True)
class Waypoint:
    """A named place."""

    name: str
    position: Position
    altitude_m: float | None = None
    """Above mean sea level."""
    time: datetime | None = None
    """When it was marked, UTC; kept to the second."""
    note: str = ""
    """The user's own words; may hold line feeds."""
    kind: str = ""
    """One word for what it is; `core.marks.KINDS` lists ours, files of others hold any."""
    error_95_m: float | None = None
    """Horizontal error when it was marked that 95 % stay within; None unknown."""
    mode: str = ""
    """How its position came about: the value of a FixMode, empty when unknown."""
