"""A recording read at once: every finished epoch in its order, with its verdict and its time on the recording's clock.

In constant memory, so that a day of it can be exported or summed up; nothing is drawn, nothing is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple, Protocol

from core.accuracy import ErrorModel
from core.fix import Fix
from core.judgement import Judgement
from core.model import Counts, Finished, FixModel
from core.sources.recording import Piece
from core.trust import Trust, Verdict


class Epoch(NamedTuple):
    """One finished epoch."""

    fix: Fix
    at_s: float
    """On the recording's own clock, seconds since its first byte: never goes back."""
    trust: Trust
    in_view: int | None

    @property
    def usable(self) -> bool:
        """Good enough to count by: a satellite fix that is usable or firm."""
        return self.fix.is_satellite_fix and self.trust.verdict >= Verdict.USABLE


class Pieces(Protocol):
    """A recording, as far as reading it at once goes."""

    def pieces(self) -> Iterator[Piece]:
        """Raises InputError where it cannot be read on."""


class EpochReader:
    """Reads one recording, once. `model` may be looked at between two epochs: its counts, its texts."""

    def __init__(self, recording: Pieces, required: bool, errors: ErrorModel | None = None) -> None:
        """`required`: refuse sentences without a checksum (contract.md, Checksums)."""
        self._recording = recording
        self._found: list[Finished] = []
        self.model = FixModel(required, self._found.append, Judgement(errors or ErrorModel()))

    def epochs(self, progress: Callable[[], None] = lambda: None) -> Iterator[Epoch]:
        """All of them. Raises InputError where the file cannot be read on; `progress` is called after every piece."""
        for piece in self._recording.pieces():
            self.model.feed(piece.data, piece.at_s)
            yield from self._drained()
            progress()
        self.model.finish()
        yield from self._drained()

    def counts(self) -> Counts:
        """Of the sentences so far."""
        return self.model.snapshot().counts

    def _drained(self) -> Iterator[Epoch]:
        """Those that say nothing of a fix, before any that does, are not judged: they have the time that they came."""
        found, self._found[:] = list(self._found), []
        for one in found:
            evidence = one.trust.evidence
            yield Epoch(one.fix, evidence.at_s if evidence else one.at_s, one.trust, one.in_view)
