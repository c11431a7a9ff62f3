"""What passes between the list of chapters and the application."""

from __future__ import annotations

from dataclasses import dataclass

from textual.message import Message

from core.chapter_times import Placed


@dataclass
class ChapterIntent(Message):
    """The user wants something done with a chapter of the list."""

    intent: str
    """`go`, `edit`, `delete`; without a chapter `add`, `undo`."""
    placed: Placed | None = None
