"""Where a replay stands: the time axis of a recording, and what has been found along it so far.

Times are seconds since the recording's first piece, on its own clock; `None` is "not known yet".
"""

from __future__ import annotations

from typing import NamedTuple

from core.events import Event
from core.trust import Verdict


class Stretch(NamedTuple):
    """Part of a recording."""

    from_s: float
    to_s: float


class Timeline(NamedTuple):
    """The axis, and the moment on it."""

    position_s: float = 0.0
    duration_s: float | None = None
    """None while the index has not reached the end."""
    indexed_s: float = 0.0
    """How far the index has come: any moment before it can be gone to at once."""
    indexed: float = 0.0
    """The same as a part of the file, 0 to 1."""
    loop: Stretch | None = None
    """What is played again and again."""
    is_seeking: bool = False
    """Whether the board still shows the moment left behind, because the new one is being worked out."""
    jumps: int = 0
    """How often it has gone to another moment. Who compares a moment with the one before begins anew where it differs:
    what lies between did not pass."""


class Survey(NamedTuple):
    """What reading the whole recording in the background has found so far. Grows; nothing in it changes."""

    events: tuple[Event, ...] = ()
    """Oldest first, those that are still to come included; all of them, up to twenty thousand."""
    verdicts: tuple[tuple[float, Verdict], ...] = ()
    """From when on there was which verdict, oldest first: a step function of time."""
    reached_s: float = 0.0
    """How far the reading has come; nothing is known of what comes after."""
    is_done: bool = False


NO_SURVEY = Survey()
