"""Standard input as a source, and waiting for the first fix of any source: what the one-shot commands need."""

from __future__ import annotations

import os
import select
import stat
from collections.abc import Callable
from typing import BinaryIO

from core.errors import InputError
from core.model import FixModel, Snapshot
from core.sources.source import Arrival, Source, SourceKind, SourceState, SourceStatus

LARGEST_READ = 65_536
POLL_S = 0.25


class Pipe:
    """Reads a pipe as it comes."""

    def __init__(self, stream: BinaryIO, clock: Callable[[], float]) -> None:
        """`clock`: monotonic seconds."""
        self._stream = stream
        self._clock = clock
        self._started_s = clock()
        self._state = SourceState.WAITING

    def read(self, timeout_s: float) -> Arrival | None:
        """What has come; the state is ENDED once the other side has closed. Raises InputError where nothing can."""
        if self._state is SourceState.ENDED or not self._ready(timeout_s):
            return None
        try:
            data = os.read(self._stream.fileno(), LARGEST_READ)
        except OSError as error:  # a folder, for example
            raise InputError(f"standard input cannot be read ({error.strerror or error})") from error
        self._state = SourceState.RECEIVING if data else SourceState.ENDED
        return Arrival(data, self._clock()) if data else None

    def status(self) -> SourceStatus:
        """The state now."""
        ended = self._state is SourceState.ENDED
        detail = "the other side has closed the pipe" if ended else ""
        elapsed_s = self._clock() - self._started_s
        return SourceStatus(SourceKind.LIVE, "standard input", self._state, detail, elapsed_s=elapsed_s)

    def now_s(self) -> float:
        """The clock of the room."""
        return self._clock()

    def close(self) -> None:
        """Read no more."""
        self._state = SourceState.ENDED

    def _ready(self, timeout_s: float) -> bool:
        """Windows cannot wait for a pipe: there the read itself waits."""
        if os.name == "nt":
            return True
        return bool(select.select([self._stream], [], [], timeout_s)[0])


def is_file(stream: BinaryIO) -> bool:
    """Whether it is an ordinary file (`< recording.nmea`), which has an end and can be gone back in."""
    return stat.S_ISREG(os.fstat(stream.fileno()).st_mode)


def first_fix(source: Source, model: FixModel, until_s: float) -> Snapshot | None:
    """Read until the first satellite fix, the end of the source, or `until_s` of its clock.

    The epoch is given once it is complete (or its line pauses), so that it has its height and satellites too.
    """
    while source.now_s() < until_s:
        arrival = source.read(max(0.0, min(POLL_S, until_s - source.now_s())))
        found = _found_in(arrival, model) if arrival else _shown(model)
        if found:
            return found
        if source.status().state is SourceState.ENDED:
            model.finish()
            return model.last_fix_snapshot()
    return None


def _found_in(arrival: Arrival, model: FixModel) -> Snapshot | None:
    """Line by line: a pipe may deliver a thousand epochs at once, and the first is wanted."""
    for line in arrival.data.splitlines(keepends=True):
        if any(fix.is_satellite_fix for fix in model.feed(line, arrival.at_s)):
            return model.last_fix_snapshot()
    return _shown(model) if model.epoch_complete else None


def _shown(model: FixModel) -> Snapshot | None:
    snapshot = model.snapshot()
    return snapshot if snapshot.fix.is_satellite_fix else None
