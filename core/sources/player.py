"""A recording played at the pace of its own times."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

from core.errors import InputError
from core.sources.recording import Piece
from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus

SLOWEST, FASTEST = 0.1, 100.0
LONGEST_WAIT_S = 10.0
"""A gap of the recording that would last longer than this is cut short, and said to be: nobody watches an hour."""


class Playable(Protocol):
    """What a player needs of a recording: the Recording's shape."""

    path: Path

    @property
    def fraction(self) -> float:
        """How much has been given out, 0 to 1."""

    def pieces(self) -> Iterator[Piece]:
        """In the order of time."""

    def close(self) -> None:
        """Nothing more is wanted."""


class Player:
    """A Source. `read` belongs to one thread; the controls may be used by another."""

    kind = SourceKind.REPLAY
    """Or REHEARSAL, where the recording says that it is one."""

    def __init__(self, recording: Playable, pace: float, clock: Callable[[], float], warning: str = "") -> None:
        """`pace`: 0.1 to 100 times life, or infinity; `clock`: monotonic seconds of the room."""
        self._recording = recording
        self._pieces: Iterator[Piece] = recording.pieces()
        self._clock = clock
        self._warning = warning
        self._changed = threading.Condition()
        self._pace = pace
        self._state = SourceState.PLAYING
        self._detail = ""
        self._next: Piece | None = None
        self._media_s = 0.0
        self._wall_s = clock()

    def read(self, timeout_s: float) -> Arrival | None:
        """The next piece, once its time has come."""
        with self._changed:
            if self._state in {SourceState.ENDED, SourceState.FAILED}:
                self._changed.wait(timeout_s)
                return None
            if self._next is None and not self._fetch():
                return None
            if not self._wait_for_its_time(timeout_s):
                return None
            piece, self._next = self._next, None
            if piece is None:
                return None
            self._anchor(piece.at_s)
            self._detail = ""
            return Arrival(piece.data, piece.at_s)

    def status(self) -> SourceStatus:
        """The state now."""
        with self._changed:
            return SourceStatus(
                self.kind,
                self._recording.path.name,
                self._state,
                self._detail,
                self._pace,
                self._now(),
                self._recording.fraction,
                self._warning,
            )

    def now_s(self) -> float:
        """The recording's clock: runs at the pace, stands while paused and at the end."""
        with self._changed:
            return self._now()

    def close(self) -> None:
        """Stop, and close the file."""
        with self._changed:
            self._state = SourceState.ENDED
            self._recording.close()
            self._changed.notify_all()

    def toggle_pause(self) -> None:
        """Stand still, or go on."""
        with self._changed:
            if self._state is SourceState.PAUSED:
                self._wall_s = self._clock()
                self._state = SourceState.PLAYING
            elif self._state is SourceState.PLAYING:
                self._media_s = self._now()
                self._state = SourceState.PAUSED
            self._changed.notify_all()

    def set_pace(self, pace: float) -> None:
        """Play on at another pace, limited to 0.1 to 100 unless it is infinite."""
        with self._changed:
            self._anchor(self._now())
            self._pace = pace if math.isinf(pace) else min(max(pace, SLOWEST), FASTEST)
            if self._next is not None:  # a gap that was short enough at the old pace may not be at this one
                self._skip_gap(self._next)
            self._changed.notify_all()

    def _anchor(self, media_s: float) -> None:
        self._media_s, self._wall_s = media_s, self._clock()

    def _now(self) -> float:
        """Never beyond the next piece, so that values age through a gap but not past what comes.

        Where the next is not known yet (between two reads) the clock stands: run on, it would have to go back.
        """
        if self._state is not SourceState.PLAYING or math.isinf(self._pace):
            return self._media_s
        return self._media_s if self._next is None else min(self._now_unbounded(), self._next.at_s)

    def _fetch(self) -> bool:
        try:
            self._next = next(self._pieces)
        except StopIteration:
            self._stop(SourceState.ENDED, "")
        except InputError as error:
            self._stop(SourceState.FAILED, str(error))
        else:
            self._skip_gap(self._next)
        return self._next is not None

    def _stop(self, state: SourceState, detail: str) -> None:
        self._media_s = self._now()
        self._state, self._detail = state, detail

    def _skip_gap(self, piece: Piece) -> None:
        longest = LONGEST_WAIT_S * self._pace
        gap = piece.at_s - self._media_s
        if not math.isinf(self._pace) and gap > longest:
            self._anchor(piece.at_s - longest)
            self._detail = f"nothing recorded for {gap:.0f} s: cut short"

    def _wait_for_its_time(self, timeout_s: float) -> bool:
        if self._state is SourceState.PAUSED or self._next is None:
            self._changed.wait(timeout_s)
            return False
        wait_s = 0.0 if math.isinf(self._pace) else (self._next.at_s - self._now_unbounded()) / self._pace
        if wait_s <= 0.0:
            return True
        self._changed.wait(min(wait_s, timeout_s))
        return self._state is SourceState.PLAYING and self._next.at_s <= self._now_unbounded()

    def _now_unbounded(self) -> float:
        return self._media_s + (self._clock() - self._wall_s) * self._pace
