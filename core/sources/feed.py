"""Runs a source through its model in a thread of its own, and tells one listener when there is something new.

The source never waits for the screen: news are coalesced, so a slow listener misses intermediate snapshots, never the
newest. The screen never waits for the source: it takes the newest snapshot, which is immutable.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from core.fix import Fix
from core.model import FixModel, Snapshot
from core.navigator import Navigator, Route
from core.outing import Outing
from core.site import SiteAverager
from core.sources.player import Player
from core.sources.source import Arrival, Source, SourceState, SourceStatus
from core.timeline import NO_SURVEY, Survey, Timeline

if TYPE_CHECKING:
    from core.seeking import Seeker

MOST_UNTOLD = 2
"""Epochs finished without news of them: one is finished by the first sentence of the next but one."""
POLL_S = 0.25
"""How long a read may take: bounds how late a quiet line is noticed and how long stopping takes."""


class Model(Protocol):
    """What a feed needs of a model: the FixModel's shape."""

    navigator: Navigator
    outing: Outing | None
    site: SiteAverager | None

    @property
    def epoch_complete(self) -> bool:
        """Whether this is a good moment to show the newest epoch."""

    def feed(self, data: bytes, at_s: float) -> Sequence[Fix]:
        """Take bytes that arrived at `at_s`; the Fixes that they finished."""

    def finish(self) -> Sequence[Fix]:
        """The input has ended."""

    def snapshot(self) -> Snapshot:
        """The state as of the newest byte."""


class Feed:
    """One source, one model, one thread."""

    def __init__(self, source: Source, model: Model, on_news: Callable[[], None]) -> None:
        """`on_news` is called in the feed's thread, at most once before each `take`; it must not block."""
        self.source = source
        self._model = model
        self._on_news = on_news
        self.tap: Callable[[Arrival], None] | None = None
        """Called with everything that arrives, in the feed's thread; must not block. May be set at any time."""
        self.outlet: Callable[[Arrival], None] | None = None
        """A second tap, under the same rule: that of the feed to other programs."""
        self._failure = ""
        self._seeker: Seeker | None = None
        self._swap = threading.Lock()
        self._is_watched = False
        self._finished = 0
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
        if self._seeker:
            self._seeker.close()
        self.source.close()
        if self._thread.is_alive():
            self._thread.join(2 * POLL_S)

    def take(self) -> Snapshot:
        """The newest snapshot."""
        with self._swap:
            self._told.clear()
            self._is_watched = True
            return self._snapshot

    def timeline(self) -> Timeline | None:
        """Where a recording stands; None for what is none."""
        return self.source.timeline() if isinstance(self.source, Player) else None

    def survey(self) -> Survey:
        """What there is along the whole recording, as far as it has been read; it begins after the first picture."""
        return self._seeker.surveyor.survey if self._seeker else NO_SURVEY

    @property
    def outing(self) -> Outing | None:
        """The trip of this feed; None where there is none."""
        return self._model.outing

    @property
    def site(self) -> SiteAverager | None:
        """The averaging of this feed; None where there can be none."""
        return self._model.site

    def steer(self, route: Route | None) -> None:
        """Guide along this route from the next epoch on; may be called from any thread."""
        self._model.navigator.route = route

    def status(self) -> SourceStatus:
        """The source's state, or why the feed itself has ended."""
        status = self.source.status()
        return replace(status, state=SourceState.FAILED, detail=self._failure) if self._failure else status

    def _run(self) -> None:
        """A fault in a source must not end in silence: the board says it, and the port is let go."""
        for step in (self._prepare, self._read_on, self._let_go):
            try:
                step()
            except Exception as error:
                self._failure = f"reading has stopped ({type(error).__name__}: {error}): please report it"
                self._on_news()

    def _let_go(self) -> None:
        if self._seeker:
            self._seeker.close()
        self.source.close()
        self.source.read(0.0)

    def _prepare(self) -> None:
        if isinstance(self.source, Player) and isinstance(self._model, FixModel):
            from core.seeking import Seeker  # a live source has no use for it

            self._seeker = Seeker(self.source, self._model)

    def _read_on(self) -> None:
        untold = False
        status = self.source.status()
        while not self._stopping.is_set():
            arrival = self.source.read(POLL_S)
            if arrival is not None:
                self._hand_on(arrival)
                self._take_in(arrival)
                untold = untold or _ends_a_line(arrival.data)
            elif self._seek():
                untold, status = False, self.source.status()
            before, status = status, self.source.status()
            if status.state is SourceState.ENDED and before.state is not SourceState.ENDED:
                self._end()
                untold = True
            if (untold and self._worth_telling(arrival is None, status)) or _differs(before, status):
                untold = not self._tell()
            self._look_ahead()

    def _take_in(self, arrival: Arrival) -> None:
        self._finished += len(self._model.feed(arrival.data, arrival.at_s))
        if self._seeker and isinstance(self._model, FixModel):
            self._seeker.note(self._model, arrival.at_s)

    def _end(self) -> None:
        self._model.finish()
        if self._seeker:
            self._seeker.finished()

    def _seek(self) -> bool:
        """Go where the user wants to be, if anywhere; True once it is there.

        The screen gets the new moment and the new time together: neither is to be seen beside the old other.
        """
        seeker, player, model = self._seeker, self.source, self._model
        if seeker is None or not isinstance(player, Player) or not isinstance(model, FixModel):
            return False
        goal = player.goal
        if goal is None:
            return False
        seeker.begin_survey()
        found = seeker.go(goal, model, self._stopping.is_set)
        self._model = found.model
        snapshot = seeker.shown(found.model.snapshot())
        with self._swap:
            if not player.land(goal, found.landing):
                return False
            self._snapshot, self._finished = snapshot, 0
            known = self._told.is_set()
            self._told.set()
        if not known and not self._stopping.is_set():
            self._on_news()
        return True

    def _look_ahead(self) -> None:
        """The survey begins once somebody has seen something; what it finds completes a moment that lacked it."""
        seeker, model = self._seeker, self._model
        if seeker is None or not isinstance(model, FixModel):
            return
        if self._is_watched:
            seeker.begin_survey()
        if seeker.is_partial and (full := seeker.completed(model, self._stopping.is_set)):
            self._model = full
            self._tell()

    def _hand_on(self, arrival: Arrival) -> None:
        tap = self.tap
        if tap:
            tap(arrival)
        outlet = self.outlet
        if outlet:
            outlet(arrival)

    def _worth_telling(self, line_is_quiet: bool, status: SourceStatus) -> bool:
        """A whole epoch, or a pause on the line. Pieces of a recording are whole by themselves.

        Where an epoch never looks complete and the line never pauses (10 Hz, begun in the middle of a burst), the
        epochs that were finished meanwhile.
        """
        whole = self._model.epoch_complete or self._finished >= MOST_UNTOLD
        return line_is_quiet or status.kind.is_recorded or whole

    def _tell(self) -> bool:
        """Once it stops, nobody listens any more: the screen may be gone while a slow read returns."""
        if self._told.is_set() or self._stopping.is_set():
            return False
        snapshot = self._model.snapshot()
        self._snapshot = self._seeker.shown(snapshot) if self._seeker else snapshot
        self._finished = 0
        self._told.set()
        self._on_news()
        return True


def _ends_a_line(data: bytes) -> bool:
    """Whether there can be anything new in it.

    The first byte of a burst mostly comes alone: told of it, the screen would be busy with the old epoch when the new
    one is there.
    """
    return b"\n" in data or b"\r" in data


def _differs(a: SourceStatus, b: SourceStatus) -> bool:
    return (a.state, a.detail, a.pace, a.name) != (b.state, b.detail, b.pace, b.name)
