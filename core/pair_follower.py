"""A recording that is played beside another: it has no clock of its own, the other's is its clock.

So whatever the leader does (play, pause, another pace, a gap cut short) the follower does by reading up to where the
leader is. Only where the leader's clock jumps, by a seek, a step back or the end of a loop, it has to seek too.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from core.sources.player import Playable, Player
from core.sources.recording import Piece
from core.sources.source import Arrival, SourceState, SourceStatus
from core.timeline import Timeline

POLL_S = 0.04
"""How often it looks where the leader is: below what an eye sees as one after the other."""
LEAP_S = 5.0
"""A seek forward by less than this is read through; by more, the follower seeks as well."""
BACK_S = 1e-3
"""A clock that goes back by less has only been rounded."""


class Leader(Protocol):
    """Who is followed: a Player's shape."""

    clock: Callable[[], float]
    """Monotonic seconds of the room."""

    def timeline(self) -> Timeline:
        """Where it stands; while it seeks, where it is going."""

    def status(self) -> SourceStatus:
        """Its state and pace."""


class Follower(Player):
    """Plays `recording` so that its clock is the leader's plus `offset_s`, as far as the recording goes."""

    def __init__(self, recording: Playable, leader: Leader, offset_s: float, warning: str = "") -> None:
        """As for a Player."""
        self._leader = leader
        self._offset_s = offset_s
        self._sought_s = -math.inf
        """Where the leader has been known to be, on this recording's clock, since the last seek."""
        self._seen_jumps = 0
        super().__init__(recording, 1.0, leader.clock, warning)

    def wanted_s(self) -> float:
        """Where the leader is, on this recording's clock: below zero before it begins, beyond its end thereafter."""
        return self._leader.timeline().position_s + self._offset_s

    def read(self, timeout_s: float) -> Arrival | None:
        """The next piece, once the leader has come so far."""
        self._keep_up()
        return super().read(min(timeout_s, POLL_S))

    def status(self) -> SourceStatus:
        """Its own recording, at the leader's pace; paused with it."""
        own, lead = super().status(), self._leader.status()
        state = SourceState.PAUSED if own.state is SourceState.PLAYING and lead.state is not own.state else own.state
        return replace(own, state=state, pace=lead.pace)

    def _keep_up(self) -> None:
        """Seek where the leader has jumped, unless the way there is short and leads forward."""
        lead = self._leader.timeline()
        wanted_s, before_s = lead.position_s + self._offset_s, self._sought_s
        jumped = lead.is_seeking or lead.jumps != self._seen_jumps or math.isinf(before_s)
        self._seen_jumps, self._sought_s = lead.jumps, wanted_s
        if wanted_s < before_s - BACK_S or (jumped and wanted_s > max(0.0, before_s) + LEAP_S):
            self.seek(wanted_s)

    def _now(self) -> float:
        if self._state is not SourceState.PLAYING or self._next is None:
            return self._media_s
        return max(self._media_s, min(self.wanted_s(), self._next.at_s))

    def _now_unbounded(self) -> float:
        return self.wanted_s()

    def _skip_gap(self, piece: Piece) -> None:
        """A gap lasts as long as the leader makes it."""

    def _wait_for_its_time(self, timeout_s: float) -> bool:
        if self._next is not None and self._next.at_s <= self.wanted_s():
            return True
        self._changed.wait(timeout_s)
        return False
