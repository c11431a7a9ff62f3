"""What a screen says of the feed; apart from it, since most boards never feed anybody."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class FeedState(Enum):
    """What the feed is doing."""

    OFF = "no feed"
    ON = "feeding"
    FAILED = "feed stopped"


@dataclass(frozen=True, slots=True)
class FeedStatus:
    """For the screen."""

    state: FeedState = FeedState.OFF
    where: tuple[str, ...] = ()
    """What other programs connect to, open or listen on."""
    clients: int | None = None
    """How many read now; None where nobody can know (datagrams, a wire)."""
    dropped: int = 0
    """Clients given up since the beginning, and pieces that a line could not carry."""
    sentences: int = 0
    """Sent since the beginning."""
    is_raw: bool = False
    is_open: bool = False
    """Whether other computers can read it."""
    reason: str = ""
    """Why it stopped, or a part of it did, and what to do."""


NO_FEED = FeedStatus()
