"""What was looked at, what was found, and what to do about it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from enum import StrEnum
from typing import NamedTuple

from core.locations import Locations
from core.sources.ports import Port


class Grade(StrEnum):
    """How a finding is to be taken."""

    FINE = "fine"
    NOTE = "note"
    """Works, and could be better; or cannot be told from here."""
    MEND = "mend"
    """Something of fixboard will not work until this is mended."""


class Finding(NamedTuple):
    """One thing looked at."""

    subject: str
    """The rooms of the report: terminal, ports, files, computer."""
    grade: Grade
    found: str
    remedy: str = ""
    """What to do; empty where all is fine."""

    def as_json(self) -> dict[str, str | None]:
        """For `fixboard doctor --json`."""
        return {
            "subject": self.subject,
            "grade": str(self.grade),
            "found": self.found,
            "remedy": self.remedy or None,
        }


class Surroundings(NamedTuple):
    """Where fixboard runs. All that is looked at comes in here, or lies below `locations`."""

    environment: Mapping[str, str]
    platform: str
    """As `sys.platform`."""
    python: tuple[int, int, int]
    encoding: str
    """Of standard output."""
    size: tuple[int, int] | None
    """Columns and rows of the terminal; None where there is none."""
    locations: Locations
    ports: tuple[Port, ...]
    now: datetime
    """By this computer's clock, aware."""
