"""What the live tests share: a computer with pretended ports and real ptys, a hurried clock, waits with a deadline."""

from __future__ import annotations

import errno
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from core.errors import InputError
from core.model import FixModel, Snapshot
from core.sources.feed import Feed
from core.sources.line import Line, SerialLine, why_not
from core.sources.ports import Port, other_users
from core.sources.serial_source import SerialSource, Wanted
from core.sources.source import Arrival, Source, SourceState
from tests.wire import PtyReceiver

PATIENCE_S = 30.0
"""Far more than anything here takes: a slow machine must not make a test red."""
HURRY = 10.0
"""Times faster than life the source's clock runs, so that its patience of seconds costs tenths."""


def hurried() -> float:
    """A clock for sources under test."""
    return time.monotonic() * HURRY


def until(condition: Callable[[], object], instead: Callable[[], object] = lambda: "") -> None:
    """Wait for something that another thread or process brings about; `instead`: how things stand if it does not."""
    end = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < end, f"it did not happen: {instead()}"
        time.sleep(0.005)


@dataclass
class Computer:
    """A SerialHost whose ports are pretended by name, and real ptys behind the names."""

    plugged: dict[str, tuple[Port, PtyReceiver]] = field(default_factory=dict)
    refusals: dict[str, OSError] = field(default_factory=dict)
    """Devices that cannot be opened, and how the system says so."""
    opened: list[tuple[str, int]] = field(default_factory=list)
    users: list[str] | None = None
    """Programs on the port; None looks for real ones."""

    def plug(self, name: str, receiver: PtyReceiver, **identity: object) -> None:
        """Put a receiver into a socket."""
        self.plugged[name] = (Port(name, **identity), receiver)  # type: ignore[arg-type]  # tests name Port's fields

    def pull(self, name: str) -> None:
        """Pull it out."""
        self.plugged.pop(name)[1].unplug()

    def ports(self) -> list[Port]:
        """In the order of plugging in."""
        return [port for port, _ in list(self.plugged.values())]

    def open(self, device: str, baud: int) -> Line:
        """The pty behind the name."""
        self.opened.append((device, baud))
        error = self.refusals.get(device) or (None if device in self.plugged else OSError(errno.ENOENT, "not there"))
        if error:
            raise InputError(why_not(device, error))
        return SerialLine(self.plugged[device][1].device, baud)

    def other_users(self, device: str) -> list[str]:
        """Real ones, unless told."""
        if self.users is not None:
            return self.users
        return other_users(self.plugged[device][1].device) if device in self.plugged else []


@dataclass
class Watch:
    """A feed that runs, and what has come out of it."""

    feed: Feed
    source: Source
    news: deque[Snapshot]
    """The newest few."""
    arrived: list[Arrival]

    @property
    def state(self) -> SourceState:
        """Of the source."""
        return self.feed.status().state

    @property
    def detail(self) -> str:
        """The words for it."""
        return self.feed.status().detail

    @property
    def newest(self) -> Snapshot:
        """The newest snapshot."""
        return self.news[-1] if self.news else Snapshot()

    def received(self) -> bytes:
        """Everything that has arrived."""
        return b"".join(arrival.data for arrival in list(self.arrived))

    def fixes(self) -> int:
        """How many epochs with a fix have come."""
        return self.newest.counts.epochs_with_fix

    def until_fixes(self, more: int = 2) -> None:
        """Until so many more have come than there are now."""
        enough = self.fixes() + more
        until(lambda: self.fixes() >= enough, self.feed.status)

    def until_total(self, fixes: int) -> None:
        """Until exactly so many have come since the beginning."""
        until(lambda: self.fixes() == fixes, self.feed.status)

    def until_state(self, *states: SourceState) -> None:
        """Until the source is in one of these."""
        until(lambda: self.state in states, self.feed.status)

    def until_told(self, words: str) -> None:
        """Until the detail says this."""
        until(lambda: words in self.detail, self.feed.status)


@contextmanager
def watching(
    source: Source, model: FixModel | None = None, tap: Callable[[Arrival], None] | None = None
) -> Iterator[Watch]:
    """Run a feed of it; `tap` gets what arrives too."""
    news: deque[Snapshot] = deque(maxlen=3)

    def on_news() -> None:
        news.append(watch.feed.take())

    watch = Watch(Feed(source, model or FixModel(), on_news), source, news, [])
    taps = [watch.arrived.append, *([tap] if tap else [])]
    watch.feed.tap = lambda arrival: [one(arrival) for one in taps].clear()
    watch.feed.start()
    try:
        yield watch
    finally:
        watch.feed.stop()
        until(lambda: not runs(watch.feed))


def runs(feed: Feed) -> bool:
    """Whether the feed's thread still runs."""
    return feed._thread.is_alive()


def on_serial(computer: Computer, device: str | None = None, baud: int | None = None) -> SerialSource:
    """A serial source in a hurry."""
    return SerialSource(Wanted(device, baud), computer, hurried)
