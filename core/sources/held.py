"""The source of a held place: no port, no bytes, only a tick a second by which the clock goes on."""

from __future__ import annotations

import threading
from collections.abc import Callable

from core.held import TICK_S
from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus

TICK = b"\n"


class HeldSource:
    """A Source. It has no receiver, so there is nothing to open, to lose or to wait for."""

    def __init__(self, name: str, clock: Callable[[], float]) -> None:
        """`clock`: monotonic seconds of the room."""
        self._name = name
        self._clock = clock
        self._began_s = clock()
        self._next_s = self._began_s
        self._closed = threading.Event()

    def read(self, timeout_s: float) -> Arrival | None:
        """The next tick, when its time has come."""
        wait_s = self._next_s - self._clock()
        if wait_s > 0.0 and (self._closed.wait(min(wait_s, timeout_s)) or wait_s > timeout_s):
            return None
        now_s = self._clock()
        # Not a tick for each second that the computer slept.
        self._next_s = max(self._next_s + TICK_S, now_s)
        return Arrival(TICK, now_s)

    def status(self) -> SourceStatus:
        """Always the same."""
        elapsed_s = self._clock() - self._began_s
        return SourceStatus(SourceKind.HELD, self._name, SourceState.HOLDING, elapsed_s=elapsed_s)

    def now_s(self) -> float:
        """The clock of the room."""
        return self._clock()

    def close(self) -> None:
        """End a wait."""
        self._closed.set()
