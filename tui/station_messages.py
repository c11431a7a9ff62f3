"""What passes between the screen of stations and the application."""

from __future__ import annotations

from dataclasses import dataclass

from textual.message import Message

from core.station_contents import Contents
from core.stations import Station
from tui.station_search import Answer


@dataclass
class StationIntent(Message):
    """The user wants something done with a station."""

    intent: str
    """`go`, `copy`, `beam`; without a station `look` (at the files), `report`, `add`."""
    station: Station | None = None


@dataclass
class StationsRead(Message):
    """The thread has looked at the files."""

    contents: Contents
    is_demo: bool
    """Whether it is the bundled, invented list."""


@dataclass
class StationsFound(Message):
    """The thread has an answer."""

    answer: Answer
