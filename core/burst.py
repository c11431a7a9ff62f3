"""Bytes and when they came, to stamped seconds: which second a receiver names, and when it began to name it.

A receiver sends one burst an epoch. What is certain is only this: the sentence that carries a second was not sent
before that second. What stands in front of it in the burst (satellites in view, of this epoch or of the one before) may
be older. So each second has two times of arrival: that of its first fix sentence, which bounds from above, and that of
the burst's first byte, which is the earliest that the receiver can have begun to answer for this second.

The burst begins after the longest pause since the last sentence of another second. That needs no knowledge of the
period, the speed or the size of the pieces in which the system hands bytes over.
"""

from __future__ import annotations

import re
from collections import deque
from itertools import pairwise
from typing import NamedTuple

from core.nmea.decode import decode
from core.nmea.framing import LINE_LIMIT, Framer, Sentence
from core.nmea.readings import Gga, Gll, Gns, Rmc, Zda
from core.nmea.stamps import line_stamp_ms, split_tag

FIX_SENTENCES = (Rmc, Gga, Gns, Gll)
MOMENTS_KEPT = 4096
"""Arrivals between two seconds: more than a line at 38,400 baud has bytes in a second."""
NEARLY = 0.6
"""Of the longest pause: where jitter is as long as the silence between bursts, either may be it."""
ZDA = "ZDA"
FORMATTERS_KEPT = 32
"""Kinds of sentences; a stream that makes up more must not fill the memory."""
_CARRIES_TIME = re.compile(rb"\$[A-Z]{2}(?:RMC|GGA|GNS|GLL|ZDA),")
_FORMATTER = re.compile(rb"\$(?:P([A-Z]{3})|[A-Z]{2}([A-Z]{3}))[A-Z0-9]*,")


class StampedSecond(NamedTuple):
    """One second that a receiver named. Times of arrival in seconds, on the clock that the arrivals are on."""

    time_ms: int
    """Of the day, as `Utc.time_ms`."""
    sentence_s: float
    """When the first byte of the first sentence that names it came."""
    burst_s: float
    """When the first byte of its burst came: never later than that."""
    size: int
    """Bytes since the sentence that named the second before."""
    pause_s: float | None
    """How much longer the line was silent than between the pieces within the burst; None where one piece held more
    than a second."""
    named_by: str
    """The sentence, for example RMC."""


class BurstReader:
    """Watches a stream. Needs no checksum to be missing or right but on the sentences that carry a time."""

    def __init__(self, require_checksum: bool = True, *, by_stamps: bool = False) -> None:
        """`by_stamps`: arrivals are those written beside the sentences (a recording), not those of the bytes."""
        self._framer = Framer(require_checksum)
        self._by_stamps = by_stamps
        self._line = b""
        self._start_s = 0.0
        self._size = 0
        self._moments: deque[float] = deque(maxlen=MOMENTS_KEPT)
        self._other_s: float | None = None
        self._time_ms: int | None = None
        self._last: StampedSecond | None = None
        self._formatters: dict[str, None] = {}
        self.now_s: float | None = None
        """The newest arrival; None before any that has a time."""
        self.resolution_s = 0.0
        """What the stamps of a recording are rounded down to."""
        self._finest_ms = 1000

    @property
    def formatters(self) -> str:
        """The kinds of sentences so far, in the order of the alphabet: what one setting of a receiver sends."""
        return " ".join(sorted(self._formatters))

    def feed(self, data: bytes, at_s: float) -> list[StampedSecond]:
        """Take bytes that arrived at `at_s`; the seconds that they name for the first time."""
        if not self._by_stamps:
            self._heard(at_s)
        self._size += len(data)
        found: list[StampedSecond] = []
        *whole, rest = data.replace(b"\r", b"\n").split(b"\n")
        for piece in whole:
            self._extend(piece, at_s)
            self._end_line(found)
        self._extend(rest, at_s)
        return found

    def _heard(self, at_s: float) -> None:
        self.now_s = at_s
        if not self._moments or self._moments[-1] != at_s:
            self._moments.append(at_s)

    def _extend(self, piece: bytes, at_s: float) -> None:
        """A `$` always begins the sentence that counts (see framing): blanks and noise before it say nothing of it."""
        if b"$" in piece:
            self._start_s = at_s
        self._line = (self._line + piece)[-LINE_LIMIT:]

    def _end_line(self, found: list[StampedSecond]) -> None:
        line, self._line = self._line, b""
        start = line.rfind(b"$")
        if start < 0:
            return
        if self._by_stamps and not self._take_stamp(line[:start]):
            return
        self._note_formatter(line[start:])
        if _CARRIES_TIME.match(line, start):
            for event in self._framer.feed(line[start:] + b"\n"):
                if isinstance(event, Sentence):
                    self._take(event, found)

    def _take_stamp(self, prefix: bytes) -> bool:
        """Whether the line says when it came."""
        tag = split_tag(prefix) if prefix else None
        stamp_ms = tag.unix_ms if tag and tag.unix_ms is not None else line_stamp_ms(prefix)
        if stamp_ms is None:
            return False
        # As coarse as the finest stamp so far: a second where there are no milliseconds, so never too fine.
        self._finest_ms = next(step for step in (1000, 100, 10, 1) if step <= self._finest_ms and stamp_ms % step == 0)
        self.resolution_s = self._finest_ms / 1000
        self._start_s = stamp_ms / 1000
        self._heard(self._start_s)
        return True

    def _note_formatter(self, sentence: bytes) -> None:
        named = _FORMATTER.match(sentence)
        if named and len(self._formatters) < FORMATTERS_KEPT:
            self._formatters[(named.group(1) or named.group(2)).decode("ascii")] = None

    def _take(self, event: Sentence, found: list[StampedSecond]) -> None:
        reading = decode(event)
        time_ms = reading.time_ms if isinstance(reading, (*FIX_SENTENCES, Zda)) else None
        if time_ms is None:
            return
        if time_ms != self._time_ms:
            self._name(time_ms, event.address[2:], found)
        elif self._last is not None and self._last.named_by == ZDA and not isinstance(reading, Zda):
            # A ZDA speaks of the clock, not of the fix: it counts only where no fix sentence has a time.
            self._last = self._last._replace(sentence_s=self._start_s, named_by=event.address[2:])
            found.append(self._last)
        self._other_s = self.now_s

    def _name(self, time_ms: int, formatter: str, found: list[StampedSecond]) -> None:
        """Of the first second the beginning may have been missed: it only says where the next one can begin."""
        self._last = None
        if self._time_ms is not None:
            self._last = self._second(time_ms, formatter)
            found.append(self._last)
        self._time_ms, self._size = time_ms, 0
        kept = [moment for moment in self._moments if moment >= self._start_s]
        self._moments.clear()
        self._moments.extend(kept or [self._start_s])

    def _second(self, time_ms: int, formatter: str) -> StampedSecond:
        heard = [moment for moment in self._moments if moment <= self._start_s]
        return StampedSecond(
            time_ms, self._start_s, _begin(heard, self._other_s, self._start_s), self._size, _pause_s(heard), formatter
        )


def _begin(heard: list[float], other_s: float | None, start_s: float) -> float:
    """After the longest pause since the last sentence of another second; of nearly equal ones the first, to be safe."""
    since = [moment for moment in heard if other_s is None or moment >= other_s]
    pauses = [(after - before, after) for before, after in pairwise(since)]
    longest_s = max(pauses)[0] if pauses else 0.0
    return next((after for pause_s, after in pauses if pause_s >= NEARLY * longest_s), start_s)


def _pause_s(heard: list[float]) -> float | None:
    """The longest pause less the usual one, which is only how the system hands bytes over."""
    from statistics import median

    pauses = sorted(after - before for before, after in pairwise(heard))
    if not pauses:
        return None
    return pauses[-1] - (median(pauses[:-1]) if len(pauses) > 1 else 0.0)
