"""The whole of a recording, read once in the background: what there is along it, and checkpoints to seek from.

A thread of its own with a model of its own, in small slices: the board waits a few milliseconds for it at most.
(A process of its own would read faster, and would have to hand every checkpoint over and be started: reading a day at
1 Hz takes about a minute this way, and a seek does not wait for it, see `core.seeking`.) First the index, which takes
seconds, then the model. What only grows (track, events, samples) is kept once; a checkpoint knows how much of it there
was. Checkpoints are thinned when together they reach `MOST_BYTES`.
"""

from __future__ import annotations

import threading
from bisect import bisect_right
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from typing import NamedTuple

from core.checkpoint import Logs, pack, put_in, take_out, unpack
from core.errors import InputError
from core.events import EVENTS_KEPT, FIRSTS, Event
from core.model import FixModel
from core.packed_log import PackedLog
from core.series import SAMPLES_KEPT, Sample
from core.sources.piece_index import PieceIndex
from core.sources.player import Playable
from core.sources.recording import BEGIN, Mark
from core.thinned_log import ThinnedLog
from core.timeline import NO_SURVEY, Survey
from core.track import TrackPoints
from core.trust import Verdict

EVERY_S, EVERY_BYTES = 300.0, 524_288
"""Between two checkpoints, whichever comes first: what a seek has to play again takes a tenth of a second."""
MOST_BYTES = 32_000_000
"""All checkpoints together; then every second one goes, and they are twice as far apart from then on."""
SLICE_S, REST_S = 0.004, 0.006
"""Work and rest in turn: two fifths of one core, and no longer at once than the board takes to draw a row or two."""
MOST_SHOWN = 20_000
"""Events, and changes of the verdict, that a survey tells of: ten times what the time bar has room for. A recording
that flickers all day long has more: then one stands for several."""
Step = tuple[float, Verdict]
AFTER_S = 0.7
"""Begun so long after the first picture, when the board has settled."""


class Checkpoint(NamedTuple):
    """The model as it was before one piece."""

    at_s: float
    """Of the newest piece that it has been fed."""
    mark: Mark
    """The next piece."""
    packed: bytes
    """The model without its logs; of these there were so many:"""
    samples: int = 0
    events: int = 0
    track: int = 0


class ReplaySurvey:
    """Of one recording. `checkpoint_before`, `model_at` and `survey` may be used by any thread."""

    def __init__(self, index: PieceIndex, fresh: bytes, clock: Callable[[], float]) -> None:
        """`fresh`: a model that has been fed nothing, packed. It is given to `unpack` for every new one.

        `clock`: monotonic seconds of the room, to rest by.
        """
        self._clock = clock
        self._index = index
        self._stop = threading.Event()
        self._hurry = threading.Event()
        self._thread: threading.Thread | None = None
        self._has_begun = False
        self._slice_s = 0.0
        self._checkpoints = [Checkpoint(-1.0, BEGIN, fresh)]
        self._bytes, self._apart = 0, 1.0
        self._samples: PackedLog[Sample] = PackedLog()
        self._events: PackedLog[Event] = PackedLog()
        self._shown = ThinnedLog(MOST_SHOWN, _first_of)
        self._track = TrackPoints()
        self._verdicts = ThinnedLog(MOST_SHOWN, _worse_of)
        self._verdict: Verdict | None = None
        self.survey = NO_SURVEY
        """As far as it has come."""

    @property
    def is_over(self) -> bool:
        """Whether nothing more will be found: done, given up or never begun."""
        return self._thread is None or not self._thread.is_alive()

    def begin(self, recording: Playable, delay_s: float = AFTER_S) -> None:
        """Read this recording, of which nobody else reads, in a thread; closes it at the end."""
        if self._is_first():
            self._thread = threading.Thread(target=self._run, args=(recording, delay_s), name="survey", daemon=True)
            self._thread.start()

    def run(self, recording: Playable) -> None:
        """The same here and now, at full speed."""
        if self._is_first():
            self._hurry.set()
            self._run(recording, 0.0)

    def _is_first(self) -> bool:
        """Two passes would mix up their logs."""
        before, self._has_begun = self._has_begun, True
        return not before and not self._stop.is_set()

    def stop(self) -> None:
        """Give up; the thread ends within a few milliseconds."""
        self._stop.set()
        self._hurry.set()

    def wait(self, seconds: float) -> None:
        """Let it work; ends with its giving up."""
        self._stop.wait(seconds)

    def hurry(self, wanted: bool) -> None:
        """Whether somebody waits for it: then it takes no rests."""
        if not self._stop.is_set():
            (self._hurry.set if wanted else self._hurry.clear)()

    def checkpoint_before(self, at_s: float) -> Checkpoint:
        """The last one that has been fed nothing later than this; in the end the fresh model."""
        checkpoints = self._checkpoints
        return checkpoints[max(0, bisect_right(checkpoints, at_s, key=_at_s) - 1)]

    def model_at(self, checkpoint: Checkpoint) -> FixModel:
        """A model of its own, as it was there."""
        model = unpack(checkpoint.packed)
        samples = self._samples.newest(checkpoint.samples, SAMPLES_KEPT)
        events = self._events.newest(checkpoint.events, EVENTS_KEPT)
        put_in(model, Logs(samples, events, self._track.first(checkpoint.track)))
        return model

    # In the survey's thread

    def _run(self, recording: Playable, delay_s: float) -> None:
        try:
            self._hurry.wait(delay_s)  # not where somebody waits already
            if not self._stop.is_set():
                self._read(recording)
        finally:
            recording.close()

    def _read(self, recording: Playable) -> None:
        self._slice_s = self._clock()
        with suppress(InputError):  # damaged from there on: the player says so when it comes there
            self._index.build(recording, self._rest)
        if self._stop.is_set():
            return
        model = self.model_at(self._checkpoints[0])
        put_in(model, Logs(deque(), deque(), self._track))
        with suppress(InputError):  # the same damage
            recording.go_to(BEGIN)
            self._survey(recording, model)
        if not self._stop.is_set():
            model.finish()
            self._collect(model)
            self._publish(self._index.reached_s, done=True)

    def _survey(self, recording: Playable, model: FixModel) -> None:
        offset, due_s = 0, EVERY_S
        for piece in recording.pieces():
            model.feed(piece.data, piece.at_s)
            if self._rest():
                return
            mark = recording.mark()
            if piece.at_s >= due_s or mark.offset - offset >= EVERY_BYTES * self._apart:
                self._keep(model, piece.at_s, mark)
                offset, due_s = mark.offset, piece.at_s + EVERY_S * self._apart
                self._publish(piece.at_s)

    def _keep(self, model: FixModel, at_s: float, mark: Mark) -> None:
        self._collect(model)
        logs = take_out(model)
        packed = pack(model)
        put_in(model, logs)
        made = Checkpoint(at_s, mark, packed, self._samples.count, self._events.count, len(self._track))
        self._bytes += len(packed)
        if self._bytes > MOST_BYTES:
            self._checkpoints = self._checkpoints[::2]
            self._bytes = sum(len(one.packed) for one in self._checkpoints) + len(packed)
            self._apart *= 2
        self._checkpoints.append(made)

    def _collect(self, model: FixModel) -> None:
        """What has come into the logs that drop their oldest."""
        logs = put_in(model, Logs(deque(), deque(), self._track))
        self._samples.add(logs.samples)
        self._events.add(logs.events)
        self._shown.extend(logs.events)
        self._verdicts.extend(self._changes(logs.samples))

    def _changes(self, samples: Iterable[Sample]) -> Iterator[Step]:
        for one in samples:
            if self._verdict != one.verdict:
                self._verdict = Verdict(one.verdict)
                yield one.at_s, self._verdict

    def _publish(self, reached_s: float, *, done: bool = False) -> None:
        self.survey = Survey(self._shown.all(), self._verdicts.all(), reached_s, done)

    def _rest(self) -> bool:
        """At every piece: a rest where one is due. Whether to give up."""
        if not self._hurry.is_set() and self._clock() - self._slice_s > SLICE_S:
            self._hurry.wait(REST_S)  # ends at once where somebody begins to wait for it, or at the stop
            self._slice_s = self._clock()
        return self._stop.is_set()


def _at_s(checkpoint: Checkpoint) -> float:
    return checkpoint.at_s


def _first_of(a: Event, b: Event) -> Event:
    return b if b.kind in FIRSTS and a.kind not in FIRSTS else a


def _worse_of(a: Step, b: Step) -> Step:
    """What was doubtful for a while stays so."""
    return a[0], min(a[1], b[1])
