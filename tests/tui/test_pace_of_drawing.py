"""How often things are drawn: no faster than they can be seen, and nothing twice."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.tui.support import (
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    board_state,
    show,
    until,
    walked,
)
from tui.actions.watching import JUST_NOW_S
from tui.app import FixboardApp
from tui.canvas.widget import CanvasPane
from tui.panes.compass import CompassPane, CompassView
from tui.panes.turning import OFTEN_S
from tui.panes.wire import SHORTEST_INTERVAL_S, WirePane

SIZE = (120, 40)
LIVE = SourceStatus(SourceKind.LIVE, "invented", SourceState.RECEIVING)


class Clock:
    """Set by hand."""

    now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


def wire_of(app: FixboardApp) -> tuple[WirePane, Clock]:
    """The wire, drawn just now, by a clock that stands; nothing is done by its timer."""
    pane, clock = app.board.query_one(WirePane), Clock()
    assert pane._slow is not None
    pane._slow.pause()
    pane.clock, pane._drawn_s = clock, clock.now_s
    return pane, clock


def newest(pane: WirePane) -> str:
    return "\n".join(pane.render_line(y).text for y in range(pane.content_size.height))


async def test_the_wire_is_drawn_with_the_rest_once_its_turn_has_come(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        show(app, board_state(walked(5)))
        await pilot.pause()
        pane, clock = wire_of(app)
        clock.now_s += SHORTEST_INTERVAL_S / 2
        show(app, board_state(walked(6)))
        assert "120005.00" not in newest(pane)
        clock.now_s += SHORTEST_INTERVAL_S
        show(app, board_state(walked(7)))
        assert "120006.00" in newest(pane)


async def test_what_came_too_soon_for_the_wire_is_drawn_later_all_the_same(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        show(app, board_state(walked(5)))
        await pilot.pause()
        pane, _ = wire_of(app)
        show(app, board_state(walked(6)))
        assert "120005.00" not in newest(pane)
        await until(pilot, lambda: "120005.00" in newest(pane))  # show has let the timer run again


async def test_while_power_is_saved_no_timer_of_the_wire_runs(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        pane = app.board.query_one(WirePane)
        assert pane._slow is not None
        show(app, board_state(walked(5), is_saving=True))
        assert not pane._slow._active.is_set()
        show(app, board_state(walked(5)))
        assert pane._slow._active.is_set()


@pytest.mark.parametrize(("apart_s", "turns"), [(OFTEN_S / 3, False), (OFTEN_S, True)])
async def test_a_rose_that_is_turned_often_jumps(apart_s: float, turns: bool, tmp_path: Path) -> None:
    app = board_app(tmp_path)
    app.animation_level = "full"
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        pane, clock = app.board.query_one(CompassPane), Clock()
        pane.clock = clock
        for up in (10.0, 20.0, 30.0, 40.0):
            clock.now_s += apart_s
            pane.show(CompassView(up, "course-up", up))
        assert (pane._frames is not None) is turns
        assert turns or pane.shown_deg == 40.0


async def with_news(app: FixboardApp, pilot: Pilot[None]) -> None:
    await until(pilot, lambda: app.state.snapshot.counts.epochs > 0)
    await pilot.pause()


@pytest.mark.parametrize(("ago_s", "draws"), [(0.0, False), (JUST_NOW_S, True)])
async def test_a_second_that_ends_just_after_news_draws_nothing_again(
    ago_s: float, draws: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = board_app(tmp_path, ScriptedOpening(ScriptedSource(arrivals_of(Epoch()), LIVE)))
    async with app.run_test(size=SIZE) as pilot:
        await with_news(app, pilot)
        drawn: list[CanvasPane] = []
        original = CanvasPane.repaint

        def spy(pane: CanvasPane) -> None:
            drawn.append(pane)
            original(pane)

        monkeypatch.setattr(CanvasPane, "repaint", spy)
        monkeypatch.setattr("tui.actions.watching.monotonic", lambda: app._news_s + ago_s)
        app._feed.source._now_s += 1.0  # type: ignore[union-attr]  # the scripted source's clock
        app._beat()
        assert bool(drawn) is draws
