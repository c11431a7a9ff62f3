"""Saving power from the board: by key, by battery; what waits for the second, and what is not shown meanwhile."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from core.power import Power
from tests.live.board import SIZE, Strings, live_board
from tests.tui.support import board_app, board_state, screen_rows, show, toasts, until
from tests.wire import burst
from tui.app import FixboardApp
from tui.panes.compass import CompassPane
from tui.state import BoardState, Orientation


def counted(app: FixboardApp) -> Callable[[], int]:
    """How often the board has been given a state since."""
    states: list[BoardState] = []

    def given(state: BoardState) -> None:
        states.append(state)

    app.watch(app.board, "state", given, init=False)
    return lambda: len(states)


def without_ticks(app: FixboardApp) -> FixboardApp:
    """Before it is mounted: then a second passes only where the test says so."""
    app._tick = lambda: None  # type: ignore[method-assign]  # the test calls the real one
    return app


async def test_while_saving_news_wait_for_the_tick(tmp_path: Path) -> None:
    strings = Strings()
    app = without_ticks(live_board(tmp_path, strings))
    async with app.run_test(size=SIZE) as pilot:
        strings.send(burst(0))
        await until(pilot, lambda: app.state.snapshot.counts.epochs == 1)
        await pilot.press("Y")
        assert app.state.is_saving
        drawn_again = counted(app)
        for n in range(1, 30):
            strings.send(burst(n / 10), step_s=0.1)
        await until(pilot, lambda: app._is_behind)
        await pilot.pause(0.1)
        assert drawn_again() == 0
        assert app.state.snapshot.counts.epochs == 1
        await until(pilot, lambda: not strings._waiting)
        FixboardApp._tick(app)
        await pilot.pause()
        assert drawn_again() == 1
        await pilot.press("Y")
        strings.send(burst(40))
        await until(pilot, lambda: app.state.snapshot.counts.epochs > 20)
        assert not app.state.is_saving


async def test_a_key_is_answered_at_once_with_the_newest(tmp_path: Path) -> None:
    strings = Strings()
    app = without_ticks(live_board(tmp_path, strings))
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("Y")
        strings.send(burst(0), burst(1))
        await until(pilot, lambda: app._is_behind)
        before = app.state.notation
        await pilot.press("n")
        assert app.state.notation is not before
        assert app.state.snapshot.counts.epochs > 0


async def test_while_saving_the_rose_jumps(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    app.animation_level = "full"
    async with app.run_test(size=SIZE) as pilot:
        show(app, board_state())
        await pilot.pause()
        await pilot.press("Y")
        assert str(app.animation_level) == "none"
        await pilot.press("u")
        assert app.state.turned_by is Orientation.COURSE_UP
        rose = app.board.query_one(CompassPane)
        assert rose._frames is None
        assert rose.shown_deg == 90.0
        await pilot.press("Y")
        assert app.animation_level == "full"


async def test_while_saving_there_are_no_charts(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("9")
        assert app.board.page == "charts"
        await pilot.press("Y")
        assert app.board.page == "board"
        await pilot.press("9")
        assert app.board.page == "board"
        assert "No charts while power is saved" in toasts(app)[-1]
        app.board.page = "charts"  # as a chapter may want
        app._tick()
        assert app.board.page == "board"
        await pilot.press("2")
        assert app.board.page == "fix"
        await pilot.press("Y", "9")
        assert app.board.page == "charts"


def saving_app(folder: Path) -> FixboardApp:
    (folder / "settings.toml").write_text("[power]\nsaving_on_battery = true\n")
    return board_app(folder)


async def test_on_battery_it_saves_by_itself_where_the_settings_say_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [Power(False, 80)]
    monkeypatch.setattr("tui.actions.power.power", lambda _: now[0])
    app = saving_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app._tick()
        await until(pilot, lambda: app._power == Power(False, 80))
        assert not app.state.is_saving
        now[0] = Power(True, 79)
        app._ticks = 0
        app._tick()
        await until(pilot, lambda: app.state.is_saving)
        assert toasts(app)[-1].startswith("On battery. Saving power")
        await pilot.pause()
        assert "saving 79 %" in screen_rows(app)[0]


async def test_the_key_overrides_the_battery_until_the_plug_is_moved(tmp_path: Path) -> None:
    app = saving_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app._ticks = 1  # this computer itself is not asked
        app.take_power(Power(True, 60))
        assert app.state.is_saving
        await pilot.press("Y")
        assert not app.state.is_saving
        app.take_power(Power(True, 59))
        assert not app.state.is_saving
        app.take_power(Power(False, 59))
        app.take_power(Power(True, 58))
        assert app.state.is_saving
        app.take_power(Power(False, 58))
        assert not app.state.is_saving


async def test_what_nobody_knows_saves_nothing(tmp_path: Path) -> None:
    app = saving_app(tmp_path)
    async with app.run_test(size=SIZE):
        app._ticks = 1
        app.take_power(Power(None, None))
        assert not app.state.is_saving


async def test_without_the_setting_the_battery_is_not_even_looked_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    monkeypatch.setattr("tui.actions.power.power", asked.append)
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        for _ in range(40):
            app._tick()
        app.take_power(Power(True, 60))
        await pilot.pause()
        assert (asked, app.state.is_saving) == ([], False)
