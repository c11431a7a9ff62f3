"""The short way to the terminal: whatever has happened, its screen is the one that drawing everything would give."""

from __future__ import annotations

import random
from collections.abc import Awaitable, Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pyte
import pytest
from rich.color import ColorSystem
from textual._compositor import CompositorUpdate
from textual.app import App
from textual.pilot import Pilot

from core.model import Snapshot
from core.places.notation import Notation
from tests.tui.support import ISLE, REPLAYING, Epoch, board_app, board_state, played, until, walked
from tui.app import FixboardApp
from tui.canvas import frame as frames
from tui.canvas.frame import Written, frame
from tui.canvas.glyphs import BRAILLE, PLAIN
from tui.canvas.palettes import Depth, palette_for
from tui.canvas.widget import CanvasPane
from tui.panes.verdict_line import VerdictLine
from tui.panes.wire import WirePane
from tui.state import Orientation

SIZE = (120, 40)
SIZES = (SIZE, (132, 43), (80, 24), (100, 30))
PAGES = ("board", "board", "compass", "position", "sky", "trail", "wire")
Cell = tuple[str, str, str, bool, bool]


class Watched:
    """What a terminal would show of an app."""

    def __init__(self, app: FixboardApp, monkeypatch: pytest.MonkeyPatch, system: ColorSystem) -> None:
        self.app = app
        self.short = self.long = 0
        """Writes by the two ways."""
        self._size = SIZE
        self._system = system
        self._begin()
        original = App._display

        def display(shown: App[Any], screen: Any, update: Any) -> None:
            if shown is app and update is not None and not app._batch_count:
                self._take(update)
            original(shown, screen, update)

        monkeypatch.setattr(App, "_display", display)

    def _begin(self) -> None:
        self.screen = pyte.Screen(*self._size)
        self._stream = pyte.Stream(self.screen)

    def _take(self, update: CompositorUpdate) -> None:
        self.app.console._color_system = self._system
        if isinstance(update, Written):
            self.short += 1
        else:
            self.long += 1
        self._stream.feed(update.render_segments(self.app.console))

    async def resize(self, pilot: Pilot[None], size: tuple[int, int]) -> None:
        """As a terminal does: what is beyond has gone, and all is drawn anew."""
        self._size = size
        self._begin()
        await pilot.resize_terminal(*size)

    def cells(self) -> list[list[Cell]]:
        """What there is to be seen."""
        return _cells(self.screen)

    def drawn_anew(self) -> list[list[Cell]]:
        """What Textual would write if it had to write everything."""
        fresh = pyte.Screen(*self._size)
        pyte.Stream(fresh).feed(self.app.screen._compositor.render_full_update().render_segments(self.app.console))
        return _cells(fresh)

    def painted_anew(self) -> list[list[Cell]]:
        """The same, nothing taken from what was kept."""
        for pane in self.app.screen.query(CanvasPane):
            pane._behind = True
            pane._strips.clear()
            pane._styles_cache.clear()
        return self.drawn_anew()


def _cells(screen: pyte.Screen) -> list[list[Cell]]:
    return [[_cell(screen.buffer[y][x]) for x in range(screen.columns)] for y in range(screen.lines)]


def _cell(char: Any) -> Cell:
    """Ink and weight of a blank cannot be seen, unless it is reversed."""
    if char.data == " " and not char.reverse:
        return " ", "", char.bg, False, False
    return char.data, char.fg, char.bg, char.bold and char.data != " ", char.reverse


def assert_same(found: list[list[Cell]], wanted: list[list[Cell]], after: object) -> None:
    wrong = [
        (x, y, one, other)
        for y, (row, should) in enumerate(zip(found, wanted, strict=True))
        for x, (one, other) in enumerate(zip(row, should, strict=True))
        if one != other
    ]
    assert not wrong, f"after {after}: {len(wrong)} cells, the first at {wrong[:3]}"


def circle(n: int) -> Snapshot:
    """A few epochs that end somewhere on a circle, now and then without a fix."""
    last = Epoch(
        second=4.0 + n % 50,
        place=f"10{30 + n % 7 * 0.0137:07.4f},N,020{15 + n % 5 * 0.0171:07.4f},W",
        course=f"{n * 37 % 360}.0",
        knots="0.3" if n % 6 == 5 else "2.9",
        altitude=f"{12 + n % 9}.5",
        valid=n % 11 != 7,
    )
    return played(*(replace(Epoch(), second=float(second)) for second in range(4)), last)


SNAPSHOTS = [circle(n) for n in range(40)]
Change = Callable[[Watched, Pilot[None], random.Random], Awaitable[None] | None]


def another_epoch(watched: Watched, _: Pilot[None], rng: random.Random) -> None:
    snapshot = rng.choice(SNAPSHOTS)
    watched.app._show(snapshot=snapshot, now_s=snapshot.at_s + rng.choice((0.0, 0.0, 2.0, 8.0)))


def another_state(watched: Watched, _: Pilot[None], rng: random.Random) -> None:
    watched.app._show(
        orientation=rng.choice((Orientation.NORTH_UP, Orientation.COURSE_UP)),
        target=rng.choice((None, ISLE, replace(ISLE, name="Q"))),
        notation=rng.choice(tuple(Notation)),
        status=replace(REPLAYING, elapsed_s=rng.uniform(0, 99), detail=rng.choice(("", "so it goes"))),
    )


def older(watched: Watched, _: Pilot[None], rng: random.Random) -> None:
    watched.app._show(now_s=watched.app.state.now_s + rng.choice((1.0, 30.0)))


def other_colours(watched: Watched, _: Pilot[None], rng: random.Random) -> None:
    watched.app.board.palette = palette_for(rng.choice(("dark", "night")), watched.app.board.palette.depth)
    another_epoch(watched, _, rng)


def other_characters(watched: Watched, _: Pilot[None], rng: random.Random) -> None:
    watched.app.board.glyphs = rng.choice((BRAILLE, PLAIN))
    another_epoch(watched, _, rng)


def another_page(watched: Watched, _: Pilot[None], rng: random.Random) -> None:
    watched.app.action_page(rng.choice(PAGES))
    another_epoch(watched, _, rng)


def a_notice(watched: Watched, _: Pilot[None], rng: random.Random) -> None:
    watched.app.notify("Marked.", timeout=rng.choice((0.01, 30.0)))
    another_epoch(watched, _, rng)


async def a_dialogue(watched: Watched, pilot: Pilot[None], rng: random.Random) -> None:
    watched.app.action_help()
    another_epoch(watched, pilot, rng)
    await pilot.pause()
    another_epoch(watched, pilot, rng)
    await pilot.pause()
    watched.app.pop_screen()
    another_epoch(watched, pilot, rng)


async def another_size(watched: Watched, pilot: Pilot[None], rng: random.Random) -> None:
    await watched.resize(pilot, rng.choice(SIZES))
    another_epoch(watched, pilot, rng)


OFTEN: tuple[Change, ...] = (another_epoch, another_epoch, another_epoch, another_state, older)
RARELY: tuple[Change, ...] = (other_colours, other_characters, another_page, a_notice, a_dialogue, another_size)
SYSTEMS = {
    Depth.TRUECOLOR: ColorSystem.TRUECOLOR,
    Depth.COLOURS_256: ColorSystem.EIGHT_BIT,
    Depth.COLOURS_16: ColorSystem.STANDARD,
    Depth.NONE: ColorSystem.STANDARD,
}


@pytest.mark.parametrize("depth", SYSTEMS)
async def test_any_sequence_of_states_ends_in_the_screen_that_drawing_everything_gives(
    depth: Depth, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app, rng = board_app(tmp_path), random.Random(int(depth))
    watched = Watched(app, monkeypatch, SYSTEMS[depth])
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        app.board.palette = palette_for("dark", depth)
        await pilot.pause()
        for _ in range(40):
            change = rng.choice(OFTEN if rng.random() < 0.75 else RARELY)
            waits = change(watched, pilot, rng)
            if waits is not None:
                await waits
            await settled(pilot)
            found = watched.cells()
            assert_same(found, watched.drawn_anew(), change)
            assert_same(found, watched.painted_anew(), change)
    assert watched.short > 20


async def settled(pilot: Pilot[None]) -> None:
    """Nothing is left to be laid out or written."""
    app = pilot.app

    def is_quiet() -> bool:
        screen = app.screen
        panes = list(screen.query("*"))
        pending = screen._layout_required or screen._repaint_required or screen._dirty_widgets
        return not pending and not any(pane._repaint_required or pane._layout_required for pane in panes)

    await pilot.pause()
    await until(pilot, is_quiet)
    await pilot.pause()


def shown(app: FixboardApp, course: str = "45.0") -> None:
    app._show(snapshot=walked(6, Epoch(course=course)), now_s=walked(6).at_s, target=ISLE)


async def board_at_rest(app: FixboardApp, pilot: Pilot[None]) -> None:
    app.board.state = board_state(walked(6), target=ISLE)
    await settled(pilot)


async def test_a_new_epoch_is_on_the_terminal_when_the_call_returns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = board_app(tmp_path)
    watched = Watched(app, monkeypatch, ColorSystem.TRUECOLOR)
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await board_at_rest(app, pilot)
        watched.short = watched.long = 0
        shown(app)
        assert "045° true" in "\n".join(watched.screen.display)
        assert watched.short == 1
        await settled(pilot)
        assert watched.long == 0


async def test_what_a_notice_lies_upon_goes_the_long_way(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = board_app(tmp_path)
    watched = Watched(app, monkeypatch, ColorSystem.TRUECOLOR)
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await board_at_rest(app, pilot)
        app.notify("A notice over compass and wire. " * 20, timeout=60.0)
        await settled(pilot)
        app.board.query_one(WirePane)._drawn_s = -60.0
        watched.short = watched.long = 0
        shown(app)
        assert watched.short == 1
        await settled(pilot)
        assert watched.long > 0
        assert_same(watched.cells(), watched.drawn_anew(), "the notice")


async def test_a_textual_that_is_not_known_gets_the_long_way(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(frames, "IS_KNOWN", False)
    app = board_app(tmp_path)
    watched = Watched(app, monkeypatch, ColorSystem.TRUECOLOR)
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await board_at_rest(app, pilot)
        shown(app)
        await settled(pilot)
        assert watched.short == 0
        assert "045° true" in "\n".join(watched.screen.display)
        assert_same(watched.cells(), watched.drawn_anew(), "the change")


def test_this_textual_is_known() -> None:
    assert frames.IS_KNOWN


async def test_an_error_inside_a_frame_still_writes_what_was_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = board_app(tmp_path)
    watched = Watched(app, monkeypatch, ColorSystem.TRUECOLOR)
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await board_at_rest(app, pilot)
        with pytest.raises(ZeroDivisionError), frame(app):
            app.board.query_one(VerdictLine).state = board_state(walked(6), age_s=90.0)
            raise ZeroDivisionError
        assert frames.Frame.open is None
        await settled(pilot)
        assert "NO FIX" in watched.screen.display[1].upper()
        app.board.query_one(VerdictLine).state = app.state
