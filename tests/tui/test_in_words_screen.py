"""The page in words on the board: frozen until F5, scrolled, copied, written and never over a file unasked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from core.blur import Home
from tests.tui.support import HERE, ISLE, SETTLED, board_app, screen_rows, screen_text, show, toasts, until
from tests.tui.test_panes_hostile import NASTY, assert_harmless
from tui.app import FixboardApp
from tui.own_keys import with_keys
from tui.screens.in_words import KEYS, InWordsScreen
from tui.screens.pick import PickScreen
from tui.screens.prompt import PromptScreen

FULL = SETTLED.changed(target=ISLE)


async def opened(pilot: Pilot[None]) -> InWordsScreen:
    assert isinstance(pilot.app, FixboardApp)
    show(pilot.app, FULL)
    await pilot.press("I")
    await pilot.pause()
    assert isinstance(pilot.app.screen, InWordsScreen)
    return pilot.app.screen


async def write_to(pilot: Pilot[None], path: str) -> None:
    await pilot.press("w")
    await pilot.pause()
    assert isinstance(pilot.app.screen, PromptScreen)
    pilot.app.screen.query_one(Input).value = path
    await pilot.press("enter")
    await pilot.pause()


@pytest.mark.parametrize("size", [(20, 5), (80, 24), (120, 40), (300, 100)])
async def test_the_first_line_is_the_moment_and_esc_goes_back(tmp_path: Path, size: tuple[int, int]) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        await opened(pilot)
        assert screen_rows(app)[0].startswith(" state at: 20")
        await pilot.press("escape")
        assert app.screen is app.board


async def test_the_page_stands_still_until_f5(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 200)) as pilot:
        screen = await opened(pilot)
        before = screen.lines
        show(app, FULL.changed(target=replace(ISLE, name="Far skerry")))
        await pilot.pause()
        assert screen.lines == before
        assert f"target: {ISLE.name}" in screen_text(app)
        await pilot.press("f5")
        await pilot.pause()
        assert "target: Far skerry" in screen_text(app)


async def test_it_scrolls_to_its_last_line(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        assert "caution: " not in screen_text(app)
        await pilot.press("end")
        await until(pilot, lambda: "caution: " in screen_text(app))
        await pilot.press("home", "pagedown")
        await until(pilot, lambda: "state at" not in screen_text(app))
        assert with_keys(KEYS) in screen_text(app)


async def test_y_copies_all_of_it_and_warns_near_home(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await opened(pilot)
        await pilot.press("y")
        await pilot.pause()
        assert app.clipboard == "\n".join(screen.lines) + "\n"
        assert f"{len(screen.lines)} lines." in toasts(app)[-1]
        assert "Home" not in toasts(app)[-1]
        app.session.settings = replace(app.session.settings, home=Home(HERE, 500.0))
        await pilot.press("y")
        await pilot.pause()
        assert "learns where you live" in toasts(app)[-1]


async def test_w_writes_it_as_it_stands(tmp_path: Path) -> None:
    app = board_app(tmp_path / "data")
    path = tmp_path / "state.txt"
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await opened(pilot)
        await write_to(pilot, str(path))
        await until(pilot, lambda: any("Written" in one for one in toasts(app)))
        assert path.read_text("utf-8") == "\n".join(screen.lines) + "\n"
        assert app.screen is screen


async def test_a_file_that_is_there_is_asked_about(tmp_path: Path) -> None:
    app = board_app(tmp_path / "data")
    path = tmp_path / "state.txt"
    path.write_text("mine", "utf-8")
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        for keys in (("enter",), ("escape",)):
            await write_to(pilot, str(path))
            assert isinstance(app.screen, PickScreen)
            await pilot.press(*keys)
            await pilot.pause()
            assert path.read_text("utf-8") == "mine"
        await write_to(pilot, str(path))
        await pilot.press("down", "enter")
        await until(pilot, lambda: any("Written" in one for one in toasts(app)))
        assert path.read_text("utf-8").startswith("state at: ")
        assert (tmp_path / "state.txt.bak").read_text("utf-8") == "mine"


@pytest.mark.parametrize("name", ["", "nowhere/state.txt", "x" * 300, "~nobody-of-that-name/state.txt"])
async def test_what_cannot_be_written_is_said(tmp_path: Path, name: str) -> None:
    app = board_app(tmp_path / "data")
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        await write_to(pilot, name if name.startswith("~") else str(tmp_path / name))
        await until(pilot, lambda: any(one.title == "Not written" for one in app._notifications))


async def test_nothing_typed_writes_nothing(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await opened(pilot)
        await write_to(pilot, "")
        assert app.screen is screen
        assert toasts(app) == []


async def test_hostile_names_stay_in_their_line(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        for name in NASTY.values():
            show(app, FULL.changed(target=replace(ISLE, name=name), status=replace(FULL.status, name=name)))
            await pilot.press("f5")
            await pilot.pause()
            assert_harmless(screen_rows(app), 80)
