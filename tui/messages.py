"""The vocabulary: every message that passes between the parts of the screen."""

from __future__ import annotations

from dataclasses import dataclass

from textual.message import Message


class News(Message, bubble=False):
    """The feed has a newer snapshot to take."""

    def can_replace(self, message: Message) -> bool:
        """Only the newest matters: a burst becomes one."""
        return isinstance(message, News)


@dataclass
class Chosen(Message):
    """The user has chosen a recording to open."""

    path: str
