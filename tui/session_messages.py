"""What passes between the logbook's screens, its form and the application."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.message import Message

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.session_notes import Words
    from core.sessions import Entry


@dataclass
class SessionIntent(Message):
    """The user wants something done with a session of the list."""

    intent: str
    """`replay`, `write`, `where`, `export`, `delete`; without a session `undo`, `empty`."""
    entry: Entry | None = None


@dataclass
class SessionWritten(Message):
    """Name and note were filled in."""

    entry: Entry
    words: Words


class SessionsSummed(Message, bubble=False):
    """The thread that reads sessions has finished some, to be taken."""

    def can_replace(self, message: Message) -> bool:
        """All that there are are taken at once: a burst becomes one."""
        return isinstance(message, SessionsSummed)


@dataclass
class WhereAsked(Message):
    """The user wants to know where they were."""

    text: str
    """Times, as typed."""


@dataclass
class WhereAnswered(Message):
    """A line each, or why there is no answer."""

    lines: tuple[str, ...]
    title: str = ""
    """Which session was asked."""
