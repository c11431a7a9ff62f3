"""The board in tests: an invented receiver's sentences through the real model, a scripted source, an app at rest.

All places are open ocean, all names invented.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from textual.pilot import Pilot

from core.accuracy import ErrorModel
from core.fix import Position
from core.judgement import Judgement
from core.locations import Locations
from core.model import FixModel, Snapshot
from core.outing import Outing
from core.sources.feed import Feed
from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus
from core.waypoints import Waypoint
from tests.build import clock, gsa, lines
from tui.app import FixboardApp
from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Grid
from tui.canvas.inks import Ink
from tui.canvas.palettes import Depth, palette_for
from tui.opening import Openable
from tui.panes.fix import FixPane
from tui.panes.goto import GoToPane
from tui.panes.position import PositionPane
from tui.panes.source_line import SourceLine
from tui.session import Look, Session
from tui.state import BoardState

NOON_S = 43_200
INKS = (Ink.TEXT, Ink.MUTED, Ink.STALE, Ink.WARN, Ink.ALERT, Ink.TARGET, Ink.COURSE_UNSURE)
"""Those that text panes use, all of different colours in the dark theme."""
START_S = 100.0
"""The source's clock at the first epoch."""
HERE = Position(10.5, -20.25)
ISLE = Waypoint("Isle of Quennet", Position(10.51, -20.24), 12.5, datetime(2031, 5, 4, 12, 0, tzinfo=UTC))
"""About 1.6 km to the north-east of the receiver."""

SKY = (
    "GPGSV,2,1,08,05,45,090,41,07,30,180,38,13,60,270,44,15,12,010,33",
    "GPGSV,2,2,08,20,22,045,35,24,75,200,46,28,18,310,,30,50,120,42",
    "GAGSV,1,1,03,04,30,240,40,09,65,330,45,11,10,100,27",
)
"""Eleven satellites in view, one of them not tracked."""
USED = ((5, 7, 13, 15, 20, 24, 30), (4, 9))


@dataclass(frozen=True, slots=True)
class Epoch:
    """What the receiver says in one second; the defaults are a good fix at a walking pace."""

    second: float = 0.0
    """After noon."""
    valid: bool = True
    knots: str = "2.9"
    """1.49 m/s; empty where it does not say."""
    course: str = "90.0"
    quality: str = "1"
    mode: str = "A"
    dimensions: int = 3
    day: str = "040531"
    place: str = "1030.0000,N,02015.0000,W"
    altitude: str = "12.5"
    hdop: str = "0.9"
    time: bool = True
    sky: tuple[str, ...] = SKY
    used: bool = True
    more: tuple[str, ...] = ()
    """Further bodies."""

    def bodies(self) -> list[str]:
        """Its sentences."""
        return [self._rmc(), self._gga(), *self._gsa(), *self.sky, *self.more]

    def _clock(self) -> str:
        return clock(NOON_S + self.second) if self.time else ""

    def _rmc(self) -> str:
        where = f"{self.place},{self.knots},{self.course}" if self.valid else ",,,,,"
        day = self.day if self.time else ""
        return f"GNRMC,{self._clock()},{'A' if self.valid else 'V'},{where},{day},,,{self.mode if self.valid else 'N'}"

    def _gga(self) -> str:
        if not self.valid:
            return f"GNGGA,{self._clock()},,,,,0,00,,,M,,M,,"
        separation = "30.0" if self.altitude else ""
        return f"GNGGA,{self._clock()},{self.place},{self.quality},09,{self.hdop},{self.altitude},M,{separation},M,,"

    def _gsa(self) -> list[str]:
        if not self.used:
            return []
        if not self.valid:
            return ["GNGSA,A,1,,,,,,,,,,,,,,,,1", "GNGSA,A,1,,,,,,,,,,,,,,,,3"]
        return [gsa(*USED[0], system="1", dimensions=self.dimensions), gsa(*USED[1], system="3")]


def judging_model(outing: Outing | None = None) -> FixModel:
    """As the board's feeds have it."""
    return FixModel(judgement=Judgement(ErrorModel()), outing=outing)


def played(*epochs: Epoch) -> Snapshot:
    """The model's snapshot after these epochs, each arriving at its second."""
    model = judging_model()
    for epoch in epochs:
        model.feed(lines(*epoch.bodies()), START_S + epoch.second)
    return model.snapshot()


def here() -> Position:
    """Where the receiver is, as the model works it out."""
    position = walked().fix.position
    assert position is not None
    return position


def walked(seconds: int = 4, like: Epoch | None = None) -> Snapshot:
    """As many epochs, a second apart."""
    return played(*(replace(like or Epoch(), second=float(second)) for second in range(seconds)))


def said(*bodies: str) -> Snapshot:
    """The snapshot after these sentences, all at once."""
    model = judging_model()
    model.feed(lines(*bodies), START_S)
    return model.snapshot()


REPLAYING = SourceStatus(SourceKind.REPLAY, "quennet.nmea", SourceState.PLAYING, "", 1.0, 75.0, 0.25)


def board_state(snapshot: Snapshot | None = None, age_s: float = 0.0, **more: object) -> BoardState:
    """A state as of `age_s` after the snapshot's newest byte."""
    shown = snapshot if snapshot is not None else walked()
    return BoardState(snapshot=shown, status=REPLAYING, now_s=shown.at_s + age_s).changed(**more)


SETTLED = board_state(walked(12))
"""Long enough for the verdict to be believed, from 12:00:00 to 12:00:11."""

Pane = PositionPane | FixPane | GoToPane | SourceLine


def drawn(pane: Pane, state: BoardState, size: tuple[int, int] = (37, 13)) -> Grid:
    """What a pane of text draws without its caption."""
    pane.state = state
    grid = Grid(*size)
    pane.paint(grid)
    return grid


def rows_of(grid: Grid) -> list[str]:
    """The text of each row, without the blanks at its end."""
    return [grid.row_text(y, BRAILLE).rstrip() for y in range(grid.height)]


def pane_rows(pane: Pane, state: BoardState, size: tuple[int, int] = (37, 13)) -> list[str]:
    """What a pane of text says."""
    return rows_of(drawn(pane, state, size))


def pane_text(pane: Pane, state: BoardState, size: tuple[int, int] = (37, 13)) -> str:
    """The same in one piece."""
    return "\n".join(pane_rows(pane, state, size))


def ink_of(grid: Grid, words: str) -> Ink:
    """The one ink that these words are drawn in."""
    palette = palette_for("dark", Depth.TRUECOLOR)
    found = set()
    for y in range(grid.height):
        start = grid.row_text(y, BRAILLE).find(words)
        if start >= 0:
            keys = [style for text, style, _ in grid.strip(y, palette, BRAILLE) for _ in text]
            found |= {key.color for key in keys[start : start + len(words)] if key is not None}
    assert len(found) == 1, f"{words!r}: {len(found)} colours"
    return next(ink for ink in INKS if palette.style(ink).color in found)


def position_pane() -> PositionPane:
    """In a fixed zone."""
    return PositionPane(zone=UTC)


class ScriptedSource:
    """A Source that delivers what it was given at once, then stays as it is until closed."""

    def __init__(self, arrivals: Iterable[Arrival], status: SourceStatus = REPLAYING) -> None:
        self._arrivals = list(arrivals)
        self._status = status
        self._now_s = 0.0
        self._closed = threading.Event()

    def read(self, timeout_s: float) -> Arrival | None:
        """The next arrival; afterwards waits, as a quiet line does."""
        if not self._arrivals:
            self._closed.wait(timeout_s)
            return None
        arrival = self._arrivals.pop(0)
        self._now_s = arrival.at_s
        return arrival

    def status(self) -> SourceStatus:
        """As given."""
        return self._status

    def now_s(self) -> float:
        """When the newest arrival came."""
        return self._now_s

    def close(self) -> None:
        """End every wait."""
        self._closed.set()


def arrivals_of(*epochs: Epoch) -> list[Arrival]:
    """One arrival an epoch."""
    return [Arrival(lines(*epoch.bodies()), START_S + epoch.second) for epoch in epochs]


@dataclass(frozen=True, slots=True)
class ScriptedOpening:
    """Opens a scripted source."""

    source: ScriptedSource
    label: str = "quennet.nmea"
    remark: str = ""

    def feed(self, on_news: Callable[[], None]) -> Feed:
        """Of the real kind."""
        return Feed(self.source, judging_model(), on_news)


def board_app(folder: Path, *openings: Openable, glyphs: str = "braille", theme: str = "dark") -> FixboardApp:
    """An app whose files are in `folder`; without an opening nothing but the test changes its state."""
    session = Session(Locations(folder), Look(glyphs, theme))
    app = FixboardApp(session, openings, Depth.TRUECOLOR)
    app.animation_level = "none"
    return app


def show(app: FixboardApp, state: BoardState) -> None:
    """Put a state on the board."""
    app.board.state = state


async def until(pilot: Pilot[None], condition: Callable[[], bool]) -> None:
    """Wait for something that another thread brings about."""
    for _ in range(2000):
        if condition():
            return
        await pilot.pause(0.01)
    raise AssertionError("it did not happen")


def screen_rows(app: FixboardApp) -> list[str]:
    """The text of the screen as the terminal shows it, without what lies under a dialogue."""
    return [strip.text for strip in app.screen._compositor.render_strips()]


def screen_text(app: FixboardApp) -> str:
    """The same in one piece."""
    return "\n".join(screen_rows(app))


def toasts(app: FixboardApp) -> list[str]:
    """What the board has said, oldest first."""
    return [notification.message for notification in app._notifications]
