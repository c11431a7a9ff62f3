"""The one shape of all sources."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple, Protocol


class SourceKind(Enum):
    """What the board must say at all times: is this now, or something else?"""

    NOTHING = "NO SOURCE"
    REPLAY = "REPLAY"
    REHEARSAL = "REHEARSAL"
    """A recording that was never received: simulated, and saying so."""
    TRACK = "REPLAY, POSITIONS ONLY"
    """Somebody's track: where they say they were, and nothing of how well that was known."""
    LIVE = "LIVE"
    HELD = "HELD PLACE"

    @property
    def is_recorded(self) -> bool:
        """Whether it is played from a file."""
        return self in {SourceKind.REPLAY, SourceKind.REHEARSAL, SourceKind.TRACK}


class SourceState(Enum):
    """What the source is doing."""

    STARTING = "starting"
    PLAYING = "playing"
    PAUSED = "paused"
    ENDED = "ended"
    FAILED = "failed"
    SEARCHING = "searching"
    """Looking for a port, a speed, a connection."""
    WAITING = "waiting for sentences"
    """The line is open, and nothing that can be used has come."""
    RECEIVING = "receiving"
    HOLDING = "no receiver in use"
    """A held place."""
    LOST = "lost"
    """The line broke; it is being sought again."""


class Arrival(NamedTuple):
    """Bytes and when they arrived, in seconds of the source's own clock."""

    data: bytes
    at_s: float


@dataclass(frozen=True, slots=True)
class SourceStatus:
    """All that a screen says of the source."""

    kind: SourceKind
    name: str
    state: SourceState
    detail: str = ""
    """What is happening and what to do about it, where there is something to say."""
    pace: float | None = None
    """Times the pace of life; infinity is as fast as possible; None for sources that have none."""
    elapsed_s: float = 0.0
    """How far the source's clock has come since its first byte."""
    fraction: float | None = None
    """How much of a recording has been read, 0 to 1."""
    warning: str = ""
    """What the user should know about the data as a whole, for example that nothing of it carries a checksum."""


class Source(Protocol):
    """Delivers bytes with their times of arrival."""

    def read(self, timeout_s: float) -> Arrival | None:
        """The next bytes; None when none came in time, or none will come any more. Blocks `timeout_s` at most."""

    def status(self) -> SourceStatus:
        """The state now; may be called from any thread."""

    def now_s(self) -> float:
        """The source's own clock: that of the room for a receiver, that of the recording for a replay."""

    def close(self) -> None:
        """Let go of the port or file. May be called from any thread, and twice; a read under way returns soon."""
