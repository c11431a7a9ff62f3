"""A recording as plain NMEA 0183: the accepted sentences as they were, each on a line ended by CR LF, and nothing else.

TAG blocks, host times, binary between sentences, damaged and malformed sentences are left out. Where a part is asked
for, whole epochs are taken, so that a choice never tears the sentences of one instant apart.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator

from core.epochs import Pieces
from core.nmea.decode import Malformed, decode
from core.nmea.epoch import EpochAssembler
from core.nmea.framing import Event, Framer, Sentence
from core.nmea.readings import Datum, Gsa, Gsv, Heading, Reading, Text, Vtg
from core.sources.recording import Piece

END = b"\r\n"
UNTIMED = (Gsv, Gsa, Vtg, Heading, Datum)
MOST_SENTENCES = 2_000
"""Of one epoch: more than any receiver sends for one instant; a stream without times must not fill the memory."""


class Round:
    """The sentences of one epoch, in the order in which they came."""

    def __init__(self, lines: Iterable[Line] = ()) -> None:
        self.lines = [*lines]

    def add(self, line: Line) -> None:
        """One more, up to the limit."""
        if len(self.lines) < MOST_SENTENCES:
            self.lines.append(line)

    def data(self, *, private: bool = False) -> bytes:
        """As it is written. `private`: only sentences known to say nothing of other places.

        Waypoints, routes, texts and what makers send of their own might name the very place that must not be shown.
        """
        return b"".join(text.encode("latin-1") + END for text, known in self.lines if known or not private)


Line = tuple[str, bool]
"""A sentence as it was, and whether it is one that tells of this instant only."""


def accepted(pieces: Iterable[Piece], required: bool) -> Iterator[bytes]:
    """All of a recording, piece by piece, without a look at epochs."""
    framer = Framer(required)
    for piece in pieces:
        yield _written(framer.feed(piece.data))
    yield _written(framer.finish())


def _written(events: list[Event]) -> bytes:
    taken = (one.text for one in events if isinstance(one, Sentence) and not isinstance(decode(one), Malformed))
    return b"".join(text.encode("latin-1") + END for text in taken)


class Rounds:
    """Sorts sentences into the epochs that `EpochReader` makes of the same bytes, in the same order.

    It stands between the recording and the reader, and hears what goes by: `finished` has a round for each epoch that
    the reader has given, and perhaps for some that it is about to give.
    """

    def __init__(self, recording: Pieces, required: bool) -> None:
        self._recording = recording
        self._framer = Framer(required)
        self._assembler = EpochAssembler()
        self._previous, self._current, self._leading = Round(), Round(), Round()
        self.finished: deque[Round] = deque()

    def pieces(self) -> Iterator[Piece]:
        """Those of the recording."""
        for piece in self._recording.pieces():
            for event in self._framer.feed(piece.data):
                self._take(event)
            yield piece
        for event in self._framer.finish():
            self._take(event)
        self._finish()

    def _take(self, event: Event) -> None:
        if not isinstance(event, Sentence):
            return
        reading = decode(event)
        if isinstance(reading, Malformed):
            return
        if reading is None or isinstance(reading, Text):
            (self._leading if self._assembler.leads else self._current).add((event.text, False))
        else:
            self._sort(event, reading)

    def _sort(self, event: Sentence, reading: Reading) -> None:
        assembler, line = self._assembler, (event.text, True)
        before = assembler.current
        finished = assembler.add(event.address, reading, 0.0)
        if assembler.amended:
            assembler.amended = False
            self._previous.add(line)
        elif before is not None and assembler.current is not before:
            self._begin(line, was_finished=finished is not None)
        elif isinstance(reading, UNTIMED):
            (self._leading if assembler.leads else self._current).add(line)
        else:
            self._join(line)

    def _begin(self, line: Line, *, was_finished: bool) -> None:
        if was_finished:
            self.finished.append(self._previous)
        self._previous, self._current, self._leading = self._current, Round(self._leading.lines), Round()
        self._current.add(line)

    def _join(self, line: Line) -> None:
        for one in (*self._leading.lines, line):
            self._current.add(one)
        self._leading = Round()

    def _finish(self) -> None:
        """The two epochs still open, as far as the reader will give them."""
        assembler = self._assembler
        for one in self._leading.lines:
            self._current.add(one)
        open_ = ((assembler.previous, self._previous), (assembler.current, self._current))
        self.finished.extend(round_ for epoch, round_ in open_ if epoch is not None and epoch.anchors)
