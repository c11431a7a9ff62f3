"""The user's side of a run: their waypoints, what the board remembers for them, how their terminal draws."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from core.errors import FixboardError
from core.fix import Fix
from core.locations import Locations
from core.memory import Memory, recall, remember
from core.places.notation import Notation
from core.settings import read_settings
from core.waypoints import Waypoint, Waypoints, mark_here


@dataclass(frozen=True, slots=True)
class Look:
    """How to draw, as the command line and the terminal decide."""

    glyphs: str = "braille"
    theme: str = ""
    """Palette name; empty: the remembered one, else dark."""


class Session:
    """Reads and writes the user's files. Failures to save come back as words, never as a crash."""

    def __init__(self, places: Locations, look: Look, *, record: bool = False) -> None:
        """Reads what there is. `record`: record live sources in this run. Raises InputError for a damaged file."""
        self.look = look
        self.settings = read_settings(places.settings)
        self._record = record
        self._places = places
        self._waypoints = Waypoints(places.waypoints)
        self._memory = recall(places.board)

    @property
    def waypoints(self) -> tuple[Waypoint, ...]:
        """In the order of the file."""
        return self._waypoints.all()

    @property
    def target(self) -> Waypoint | None:
        """The remembered target, if it still exists."""
        return self._waypoints.named(self._memory.target) if self._memory.target else None

    @property
    def notation(self) -> Notation:
        """The remembered notation."""
        return Notation.__members__.get(self._memory.notation, Notation.DECIMAL)

    @property
    def theme(self) -> str:
        """The theme to begin with."""
        return self.look.theme or self._memory.theme or "dark"

    @property
    def memory(self) -> Memory:
        """All that is remembered."""
        return self._memory

    @property
    def records(self) -> bool:
        """Whether live sources are recorded from the start, in this run or always."""
        return self._record or self.settings.recorder.always

    @property
    def recordings(self) -> Path:
        """Where the recorder writes."""
        return self._places.recordings

    def mark(self, fix: Fix) -> Waypoint:
        """Mark and save. Raises InputError with the reason where that cannot be."""
        waypoint = mark_here(fix, tuple(place.name for place in self.waypoints))
        self._waypoints.add(waypoint)
        return waypoint

    def keep(self, **choices: str) -> str:
        """Remember choices; the reason where they could not be saved, else empty."""
        self._memory = replace(self._memory, **choices)
        try:
            remember(self._places.board, self._memory)
        except FixboardError as error:
            return str(error)
        return ""
