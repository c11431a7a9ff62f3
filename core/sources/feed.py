"""Runs a source through its model in a thread of its own, and tells one listener when there is something new.

The source never waits for the screen: news are coalesced, so a slow listener misses intermediate snapshots, never the
newest. The screen never waits for the source: it takes the newest snapshot, which is immutable.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

from core.model import FixModel, Snapshot
from core.sources.source import Source, SourceKind, SourceState, SourceStatus

POLL_S = 0.25
"""How long a read may take: bounds how late a quiet line is noticed and how long stopping takes."""


class Feed:
    """One source, one model, one thread."""

    def __init__(self, source: Source, model: FixModel, on_news: Callable[[], None]) -> None:
        """`on_news` is called in the feed's thread, at most once before each `take`; it must not block."""
        self.source = source
        self._model = model
        self._on_news = on_news
        self._snapshot = Snapshot()
        self._told = threading.Event()
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name="feed", daemon=True)

    def start(self) -> None:
        """Begin to read."""
        self._thread.start()

    def stop(self) -> None:
        """Stop and let go of the source; waits two polls at most."""
        self._stopping.set()
        self.source.close()
        if self._thread.is_alive():
            self._thread.join(2 * POLL_S)

    def take(self) -> Snapshot:
        """The newest snapshot."""
        self._told.clear()
        return self._snapshot

    def _run(self) -> None:
        untold = False
        status = self.source.status()
        while not self._stopping.is_set():
            arrival = self.source.read(POLL_S)
            if arrival is not None:
                self._model.feed(arrival.data, arrival.at_s)
                untold = True
            before, status = status, self.source.status()
            if status.state is SourceState.ENDED and before.state is not SourceState.ENDED:
                self._model.finish()
                untold = True
            if (untold and self._worth_telling(arrival is None, status)) or _differs(before, status):
                untold = not self._tell()

    def _worth_telling(self, line_is_quiet: bool, status: SourceStatus) -> bool:
        """A whole epoch, or a pause on the line. Pieces of a recording are whole by themselves."""
        return line_is_quiet or status.kind is SourceKind.REPLAY or self._model.epoch_complete

    def _tell(self) -> bool:
        if self._told.is_set():
            return False
        self._snapshot = self._model.snapshot()
        self._told.set()
        self._on_news()
        return True


def _differs(a: SourceStatus, b: SourceStatus) -> bool:
    return (a.state, a.detail, a.pace, a.name) != (b.state, b.detail, b.pace, b.name)
