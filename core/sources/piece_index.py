"""Where in a recording which moment is: bytes and times of day of a piece every half a minute.

Filled by one thread in the background, asked by others. Entries are only ever added (thinned at `MOST_ENTRIES`, into a
new list), so whoever looks up sees a state that was right at some moment.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import NamedTuple, Protocol

from core.errors import InputError
from core.fix import MS_PER_DAY
from core.nmea.fields import BadField, time_of_day
from core.sources.recording import Mark, Piece

EVERY_S, EVERY_BYTES = 30.0, 262_144
"""Between two entries, whichever comes first: a quarter of a megabyte takes some tenths of a second to play."""
MOST_ENTRIES = 20_000
"""A week at 1 Hz. Beyond, every second one goes, and entries are twice as far apart from then on."""
_TIME = re.compile(rb"\$[A-Z]{2}(?:RMC|GGA|GNS|ZDA),(\d{6}(?:\.\d{1,9})?),")


class Indexable(Protocol):
    """A recording to go through once, of which nobody else reads."""

    @property
    def fraction(self) -> float:
        """How much has been given out, 0 to 1."""

    def mark(self) -> Mark:
        """Before the next piece."""

    def pieces(self) -> Iterator[Piece]:
        """In the order of time."""


class Entry(NamedTuple):
    """One piece of which we know where it begins."""

    at_s: float
    mark: Mark
    time_ms: int | None
    """The time of day in its sentences, UTC; None where they tell none."""
    data: bytes = b""
    """Its sentences, until their time has been looked at."""


class PieceIndex:
    """Of one recording."""

    def __init__(self) -> None:
        self._entries: list[Entry] = []
        self._times: list[float] = []
        self._apart = 1.0
        self.reached_s = 0.0
        """Every moment before it has been found."""
        self.fraction = 0.0
        """The same as a part of the file, 0 to 1."""
        self.duration_s: float | None = None
        """None until all of it has been read."""

    @property
    def limit_s(self) -> float:
        """No moment is later, as far as is known."""
        return math.inf if self.duration_s is None else self.duration_s

    def build(self, recording: Indexable, rest: Callable[[], bool]) -> None:
        """Read all of it. `rest` is called at every piece, and says whether to give up. Raises InputError.

        What comes after damage cannot be played: there the recording ends for the index too.
        """
        newest = None
        try:
            for newest in _entries(recording):
                self.reached_s = newest.at_s
                if rest():
                    return
                if self._is_due(newest):
                    self._add(newest)
                    self.fraction = recording.fraction
        except InputError:
            self.duration_s = self.reached_s
            raise
        if newest is not None and self._entries[-1].mark != newest.mark:
            self._add(newest)
        self.duration_s, self.fraction = self.reached_s, 1.0

    def before(self, at_s: float) -> Entry | None:
        """The last known piece at or before a moment; None where nothing is known yet."""
        count = bisect_right(self._times, at_s)
        return self._entries[count - 1] if 0 < count <= len(self._entries) else None

    def moment_of(self, time_ms: int, after_s: float) -> float | None:
        """The first moment from `after_s` on at which the time of day is this; None where there is none so far.

        Between two entries time is taken to go on evenly: exact unless it has a gap there.
        """
        entries = self._entries
        if len(entries) == 1 and entries[0].time_ms == time_ms and entries[0].at_s >= after_s:
            return entries[0].at_s
        found = (_between(a, b, time_ms, after_s) for a, b in pairwise(entries))
        return next((at_s for at_s in found if at_s is not None), None)

    def _is_due(self, entry: Entry) -> bool:
        if not self._entries:
            return True
        last = self._entries[-1]
        return (
            entry.at_s - last.at_s >= EVERY_S * self._apart
            or entry.mark.offset - last.mark.offset >= EVERY_BYTES * self._apart
        )

    def _add(self, entry: Entry) -> None:
        entry = entry._replace(time_ms=_time_of_day(entry.data), data=b"")
        if len(self._entries) >= MOST_ENTRIES:
            self._apart *= 2.0
            self._times, self._entries = self._times[::2], self._entries[::2]
        self._entries.append(entry)
        self._times.append(entry.at_s)


def _entries(recording: Indexable) -> Iterator[Entry]:
    pieces = recording.pieces()
    mark = recording.mark()
    for piece in pieces:
        yield Entry(piece.at_s, mark, None, piece.data)
        mark = recording.mark()


def _time_of_day(data: bytes) -> int | None:
    found = _TIME.search(data)
    try:
        return time_of_day(found[1].decode("ascii")) if found else None
    except BadField:
        return None


def _between(a: Entry, b: Entry, time_ms: int, after_s: float) -> float | None:
    """Where in the stretch between two entries; None where it is not in it."""
    if a.time_ms is None or b.time_ms is None or b.at_s < after_s:
        return None
    length_ms, there_ms = (b.time_ms - a.time_ms) % MS_PER_DAY, (time_ms - a.time_ms) % MS_PER_DAY
    if there_ms > length_ms or length_ms >= MS_PER_DAY // 2:
        return None
    at_s = min(a.at_s + there_ms / 1000, b.at_s)
    return at_s if at_s >= after_s else None
