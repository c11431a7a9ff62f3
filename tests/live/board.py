"""A board on a live source that the test holds by the strings."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from textual.pilot import Pilot

from core.locations import Locations
from core.memory import Memory, recall
from core.model import FixModel
from core.sources.feed import Feed
from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus
from tests.wire import burst
from tui.app import FixboardApp
from tui.canvas.palettes import Depth
from tui.opening import LiveOpening
from tui.session import Look, Session

SIZE = (120, 40)
BURSTS = [burst(n) for n in range(20)]
VOIDS = [burst(n, fix=False) for n in range(20, 40)]
LIVE = SourceStatus(SourceKind.LIVE, "/dev/ttyQ0 9600 baud", SourceState.RECEIVING)


class Strings:
    """A Source whose bytes, clock and state the test moves."""

    def __init__(self, status: SourceStatus = LIVE) -> None:
        self._status = status
        self._waiting: deque[Arrival] = deque()
        self._more = threading.Condition()
        self._now_s = 1000.0
        self._closed = False

    def send(self, *data: bytes, step_s: float = 1.0) -> None:
        """Pieces, a second apart."""
        with self._more:
            for piece in data:
                self._now_s += step_s
                self._waiting.append(Arrival(piece, self._now_s))
            self._more.notify_all()

    def pass_time(self, seconds: float) -> None:
        """Nothing comes for a while."""
        with self._more:
            self._now_s += seconds

    def become(self, state: SourceState, detail: str = "") -> None:
        """Something happens to the line."""
        with self._more:
            self._status = replace(self._status, state=state, detail=detail)
            self._more.notify_all()

    def read(self, timeout_s: float) -> Arrival | None:
        """The next piece."""
        with self._more:
            if not self._waiting and not self._closed:
                self._more.wait(min(timeout_s, 0.02))
            return self._waiting.popleft() if self._waiting else None

    def status(self) -> SourceStatus:
        """As made."""
        return self._status

    def now_s(self) -> float:
        """As made."""
        return self._now_s

    def close(self) -> None:
        """End every wait."""
        with self._more:
            self._closed = True
            self._more.notify_all()


@dataclass(frozen=True, slots=True)
class OnStrings(LiveOpening):
    """Opens such a source."""

    strings: Strings = field(default_factory=Strings)

    def feed(self, on_news: Callable[[], None]) -> Feed:
        """Of the real kind."""
        return Feed(self.strings, FixModel(), on_news)


def live_board(folder: Path, strings: Strings, *, record: bool = False) -> FixboardApp:
    """A board on it, its files in `folder`."""
    session = Session(Locations(folder), Look(), record=record)
    app = FixboardApp(session, (OnStrings(strings=strings),), Depth.TRUECOLOR)
    app.animation_level = "none"
    return app


async def until_shown(pilot: Pilot[None], condition: Callable[[], object]) -> None:
    """Wait for something that another thread brings about, and the screen shows."""
    for _ in range(3000):
        if condition():
            return
        await pilot.pause(0.01)
    raise AssertionError("it did not happen")


def rows(app: FixboardApp) -> list[str]:
    """The screen."""
    return [strip.text for strip in app.screen._compositor.render_strips()]


def said(app: FixboardApp) -> list[str]:
    """All notices that stand."""
    return [notification.message for notification in app._notifications]


def memory(folder: Path) -> Memory:
    """What is remembered."""
    return recall(folder / "board.toml")
