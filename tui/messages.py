"""The vocabulary: every message that passes between the parts of the screen."""

from __future__ import annotations

from dataclasses import dataclass

from textual.message import Message

from core.waypoint import Waypoint


class News(Message, bubble=False):
    """The feed has a newer snapshot to take."""

    def can_replace(self, message: Message) -> bool:
        """Only the newest matters: a burst becomes one."""
        return isinstance(message, News)


@dataclass
class PlaceWritten(Message):
    """The user has written a place's name, note and kind."""

    old: Waypoint | None
    """What is to be changed; None: a new place."""
    place: str
    """Of a new one: any notation."""
    name: str
    note: str
    kind: str


class FormLeft(Message):
    """The form was closed; whoever had the keys before has them again."""


@dataclass
class PlaceIntent(Message):
    """The user wants something done with a place of the list."""

    intent: str
    """`go`, `edit`, `delete`, `hold`, `route`; without a waypoint `exchange`, `undo`."""
    waypoint: Waypoint | None = None
