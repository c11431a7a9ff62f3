"""A recording played at the pace of its own times."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple, Protocol

from core.errors import InputError
from core.sources.piece_index import PieceIndex
from core.sources.recording import Mark, Piece
from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus
from core.timeline import Stretch, Timeline

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
        """In the order of time, from where it stands."""

    def mark(self) -> Mark:
        """Where it stands: before the next piece."""

    def go_to(self, mark: Mark) -> None:
        """Stand there. Raises InputError where it cannot be read any more."""

    def again(self) -> Playable | None:
        """The same, to be read independently from its beginning; None where it cannot be. Raises InputError."""

    def stamp(self) -> object:
        """Differs once the file behind it has been written to."""

    def close(self) -> None:
        """Nothing more is wanted."""


@dataclass(frozen=True, slots=True, eq=False)
class Goal:
    """Where the user wants to be. Compared by identity: a newer one supersedes it."""

    at_s: float = 0.0
    """Everything up to this moment, it included, has been played."""
    epochs: int = 0
    """Instead of a moment: so many epochs on (1) or back (-1)."""


class Landing(NamedTuple):
    """Where a goal has been come to."""

    pieces: Iterator[Piece]
    """The rest of the recording, but for `ahead`."""
    ahead: Piece | None
    """The next piece, if it had to be read to know that it is too late."""
    at_s: float
    """Now, on the recording's clock."""
    trouble: str = ""
    """Why it is not where the goal was."""


class Player:
    """A Source. `read` belongs to one thread; the controls may be used by another.

    A long class, since one lock guards all that is here: clock, loop and goal in classes of their own would share it,
    and each step would have to say who holds it.
    """

    kind = SourceKind.REPLAY
    """Or REHEARSAL, where the recording says that it is one."""

    def __init__(self, recording: Playable, pace: float, clock: Callable[[], float], warning: str = "") -> None:
        """`pace`: 0.1 to 100 times life, or infinity; `clock`: monotonic seconds of the room."""
        self._recording = recording
        self._pieces: Iterator[Piece] = recording.pieces()
        self.clock = clock
        """Monotonic seconds of the room."""
        self._warning = warning
        self._changed = threading.Condition()
        self._pace = pace
        self._state = SourceState.PLAYING
        self._detail = ""
        self._next: Piece | None = None
        self._media_s = 0.0
        self._wall_s = clock()
        self._goal: Goal | None = None
        self._loop: Stretch | None = None
        self._jumps = 0
        self._is_away = self._is_closed = self._ended_paused = False
        self.index = PieceIndex()
        """What is known of the way ahead; filled by another thread."""
        self.note = ""
        """What must be said of the moment shown, where nothing else is."""

    # For the screen's thread; none of these waits

    def seek(self, at_s: float) -> None:
        """Go to a moment, limited to what there is; a newer one takes its place. At the end it plays on from there."""
        with self._changed:
            if math.isnan(at_s):
                return
            at_s = max(0.0, at_s)
            if self._loop is not None and not self._loop.from_s <= at_s <= self._loop.to_s:
                self._loop = None  # who goes elsewhere has left it; else it would jump back at once
            self._go(Goal(at_s))

    def step(self, epochs: int) -> None:
        """One epoch on (1) or back (-1), and stand there."""
        with self._changed:
            if self._state is SourceState.PLAYING:
                self._media_s = self._now()
                self._state = SourceState.PAUSED
            self._go(Goal(epochs=1 if epochs > 0 else -1))

    def set_loop(self, loop: Stretch | None) -> None:
        """Play this stretch again and again; None, or one without a length, ends that."""
        with self._changed:
            self._loop = None
            if loop is not None and loop.to_s > loop.from_s:
                self._loop = Stretch(max(0.0, loop.from_s), loop.to_s)
                if not loop.from_s <= self._now() <= loop.to_s:
                    self._go(Goal(self._loop.from_s))
            self._changed.notify_all()

    def timeline(self) -> Timeline:
        """The axis, and where it stands: while it seeks, at the moment that is gone to."""
        with self._changed:
            goal, index = self._goal, self.index
            seeks = goal is not None and not goal.epochs
            return Timeline(
                position_s=min(goal.at_s, index.limit_s) if seeks and goal else self._now(),
                duration_s=index.duration_s,
                indexed_s=index.reached_s,
                indexed=index.fraction,
                loop=self._loop,
                is_seeking=goal is not None,
                jumps=self._jumps,
            )

    def moment_of(self, time_ms: int, after_s: float) -> float | None:
        """The first moment from `after_s` on at which the recording's own UTC time of day is `time_ms`.

        None where there is none, or the index has not come to it. Within half a minute it is interpolated.
        """
        return self.index.moment_of(time_ms, after_s)

    # For the feed's thread

    @property
    def goal(self) -> Goal | None:
        """Where the user wants to be, unless it is there. `read` gives nothing until `land` was called."""
        return self._goal

    @property
    def recording(self) -> Playable:
        """What is played. To be touched between `leave` and `land` only."""
        return self._recording

    def leave(self) -> tuple[Iterator[Piece], Piece | None]:
        """Nothing is read until `land`, not even closed; the pieces that would have come."""
        with self._changed:
            self._is_away = True
            return self._pieces, self._next

    def land(self, goal: Goal, landing: Landing) -> bool:
        """Play on from there. False where another goal has come meanwhile: then that is to be gone to."""
        with self._changed:
            self._is_away = False
            self._pieces, self._next = landing.pieces, landing.ahead
            if self._is_closed:
                self._recording.close()
                return False
            if self._goal is not goal:
                return False
            self._goal, self._jumps = None, self._jumps + 1
            self._anchor(landing.at_s)
            self._detail = ""
            self._come_to_life(goal, landing)
            self._changed.notify_all()
            return True

    def replace(self, pieces: Iterator[Piece], ahead: Piece | None) -> None:
        """The same moment, read anew: nothing has moved."""
        with self._changed:
            self._is_away = False
            self._pieces, self._next = pieces, ahead
            if self._is_closed:
                self._recording.close()

    def _go(self, goal: Goal) -> None:
        if not self._is_closed:
            self._goal = goal
            self._changed.notify_all()

    def _come_to_life(self, goal: Goal, landing: Landing) -> None:
        """After an end it plays on, unless it had been paused. A step stands. A gap ahead is cut as seen from here."""
        if landing.trouble:
            self._state, self._detail = SourceState.FAILED, landing.trouble
        elif goal.epochs or (self._state is SourceState.ENDED and self._ended_paused):
            self._state = SourceState.PAUSED
        elif self._state is not SourceState.PAUSED:
            self._state = SourceState.PLAYING
            if self._next is not None:
                self._skip_gap(self._next)

    def read(self, timeout_s: float) -> Arrival | None:
        """The next piece, once its time has come."""
        with self._changed:
            if not self._is_due(timeout_s) or self._next is None:
                return None
            piece, self._next = self._next, None
            self._anchor(piece.at_s)
            self._detail = ""
            return Arrival(piece.data, piece.at_s)

    def _is_due(self, timeout_s: float) -> bool:
        """Whether the next piece is to be given out now; waits for it a while."""
        if self._goal is not None:
            return False
        if self._state in {SourceState.ENDED, SourceState.FAILED}:
            self._changed.wait(timeout_s)
            return False
        if self._next is None and not self._fetch():
            return False
        return self._wait_for_its_time(timeout_s) and not self._leaves_loop()

    def status(self) -> SourceStatus:
        """The state now."""
        with self._changed:
            return SourceStatus(
                self.kind,
                self._recording.path.name,
                self._state,
                self._detail or self.note,
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
            self._state, self._is_closed, self._goal = SourceState.ENDED, True, None
            if not self._is_away:
                self._recording.close()
            self._changed.notify_all()

    def toggle_pause(self) -> None:
        """Stand still, or go on."""
        with self._changed:
            if self._state is SourceState.PAUSED:
                self._wall_s = self.clock()
                self._state = SourceState.PLAYING
                if self._next is not None and self._jumps:
                    self._skip_gap(self._next)
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
        self._media_s, self._wall_s = media_s, self.clock()

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
            if not self._begins_loop():
                self._stop(SourceState.ENDED, "")
        except InputError as error:
            self._stop(SourceState.FAILED, str(error))
        else:
            self._skip_gap(self._next)
        return self._next is not None

    def _leaves_loop(self) -> bool:
        """Whether the next piece lies beyond the loop; asked once its end has come."""
        beyond = self._loop is not None and self._next is not None and self._next.at_s > self._loop.to_s
        return beyond and self._begins_loop()

    def _begins_loop(self) -> bool:
        """Back to its beginning. A loop in which nothing is left to play, beyond the end of the recording, is over."""
        loop = self._loop
        if loop is None or self._is_closed:
            return False
        if self._media_s <= loop.from_s:
            self._loop = None
            return False
        self._goal = Goal(loop.from_s)
        return True

    def _stop(self, state: SourceState, detail: str) -> None:
        self._media_s = self._now()
        self._ended_paused = self._state is SourceState.PAUSED
        self._state, self._detail = state, detail

    def _skip_gap(self, piece: Piece) -> None:
        longest, due_s = LONGEST_WAIT_S * self._pace, self._due_s(piece)
        gap = due_s - self._media_s
        if not math.isinf(self._pace) and gap > longest:
            self._anchor(due_s - longest)
            self._detail = f"nothing recorded for {gap:.0f} s: cut short"

    def _wait_for_its_time(self, timeout_s: float) -> bool:
        if self._state is SourceState.PAUSED or self._next is None:
            self._changed.wait(timeout_s)
            return False
        due_s = self._due_s(self._next)
        wait_s = 0.0 if math.isinf(self._pace) else (due_s - self._now_unbounded()) / self._pace
        if wait_s <= 0.0:
            return True
        self._changed.wait(min(wait_s, timeout_s))
        plays = self._state is SourceState.PLAYING and self._goal is None
        return plays and due_s <= self._now_unbounded()

    def _due_s(self, piece: Piece) -> float:
        """When something happens: the piece, or the end of the loop before it."""
        return piece.at_s if self._loop is None else min(piece.at_s, self._loop.to_s)

    def _now_unbounded(self) -> float:
        return self._media_s + (self.clock() - self._wall_s) * self._pace
