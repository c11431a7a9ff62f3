"""Radio stations of the user's own lists: repeaters, beacons, gateways, friends.

Nothing in a list is taken for true: a place is as coarse as it was given, a row that could not be understood is kept
with the reason, and what looks wrong is said beside it.
"""

from __future__ import annotations

from enum import Enum
from pathlib import Path
from typing import NamedTuple

from core.bands import Band, band_of
from core.fix import Position


class Station(NamedTuple):
    """One row of a list. Texts are as in the list: clean before showing."""

    call: str
    name: str = ""
    position: Position | None = None
    """Of a locator, the middle of its box; None where the row could not be placed."""
    radius_m: float | None = None
    """How far off the true place may be by the way it was given: a 6-character locator is 3 to 4 km coarse."""
    place: str = ""
    """As the list gives it."""
    output_hz: int | None = None
    """What the station transmits on, and a listener listens to."""
    input_hz: int | None = None
    """What it listens to."""
    tone: str = ""
    """Access tone or code."""
    mode: str = ""
    height_m: float | None = None
    """As the list says; above mean sea level unless the list means something else."""
    status: str = ""
    verified: str = ""
    """When somebody last checked it."""
    notes: str = ""
    more: tuple[tuple[str, str], ...] = ()
    """Columns that we have no meaning for: header and cell."""
    row: int = 0
    """Of the list, counted from 1, the header included."""
    source: str = ""
    """Name of the list."""

    @property
    def band(self) -> Band | None:
        """Of the output."""
        return None if self.output_hz is None else band_of(self.output_hz)

    @property
    def shift_hz(self) -> int | None:
        """Input less output: what a transmitter is set to."""
        if self.output_hz is None or self.input_hz is None:
            return None
        return self.input_hz - self.output_hz

    @property
    def title(self) -> str:
        """What to call it."""
        return self.call or self.name or f"row {self.row}"


class Doubt(Enum):
    """What can be wrong with a row."""

    UNPLACED = "could not be placed"
    PLACE = "place only partly understood"
    PLACES_DISAGREE = "locator and coordinates disagree"
    DUPLICATE = "duplicate"
    SHIFT = "impossible shift"
    FREQUENCY = "frequency not understood"
    TONE = "no standard tone"
    HEIGHT = "height not understood"
    CELLS = "more cells than headers"


class Finding(NamedTuple):
    """Something about one row that the user should know."""

    row: int
    title: str
    """Of the station."""
    doubt: Doubt
    why: str


class Column(NamedTuple):
    """What one column was taken for."""

    header: str
    meaning: str
    """Empty: kept and shown, not understood."""


class StationList(NamedTuple):
    """A list as it was understood."""

    path: Path
    stations: tuple[Station, ...]
    """In the order of the file, those without a place included."""
    columns: tuple[Column, ...]
    findings: tuple[Finding, ...]
    """In the order of rows."""
    read_as: str
    """Encoding and separator, in words."""

    @property
    def placed(self) -> tuple[Station, ...]:
        """Those that can be pointed at."""
        return tuple(one for one in self.stations if one.position is not None)
