"""The beam sheet on the board: from here to the target, or to what is typed."""

from __future__ import annotations

import re
import threading
from pathlib import Path

import pytest
from textual.widgets import Input, Static

from core.fix import Position
from core.waypoints import Waypoint
from tests.tui.support import ISLE, Epoch, board_app, board_state, played, screen_rows, screen_text, show, toasts, until
from tui.cli_places import Place
from tui.screens.beam import BeamScreen
from tui.screens.prompt import PromptScreen


async def test_without_a_position_the_key_says_so(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("U")
        assert any("No position yet" in toast for toast in toasts(app))
        assert not isinstance(app.screen, BeamScreen)


async def test_with_a_target_the_sheet_leads_there_and_its_beam_can_be_turned_narrower(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(played(Epoch()), target=ISLE))
        await pilot.press("U")
        await pilot.pause()
        text = screen_text(app)
        assert ISLE.name in text
        assert "beam 30 degrees wide" in text
        await pilot.press("left", "left")
        assert "beam 12 degrees wide" in screen_text(app)
        await pilot.press("right")
        assert "beam 20 degrees wide" in screen_text(app)
        await pilot.press("escape")
        assert app.screen is app.board


async def test_the_sun_is_that_of_the_receivers_time(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 50)) as pilot:
        show(app, board_state(played(Epoch()), target=ISLE))
        await pilot.press("U")
        await pilot.pause()
        assert "2031-05-04 12:00 UTC" in screen_text(app)


async def test_without_a_target_a_place_is_typed_and_a_wrong_one_is_said(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(played(Epoch())))
        await pilot.press("U")
        await until(pilot, lambda: isinstance(app.screen, PromptScreen))
        app.screen.query_one("#typed", Input).value = "IK90xx"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, BeamScreen))
        assert "IK90xx" in screen_text(app)
        await pilot.press("escape", "U")
        await until(pilot, lambda: isinstance(app.screen, PromptScreen))
        app.screen.query_one("#typed", Input).value = "nowhere at all"
        await pilot.press("enter")
        await until(pilot, lambda: any("cannot be read as a place" in toast for toast in toasts(app)))
        await until(pilot, lambda: isinstance(app.screen, PromptScreen))
        line = app.screen.query_one("#typed", Input)
        assert line.value == "nowhere at all"
        assert line.cursor_position == len(line.value)


async def test_while_the_lists_are_searched_for_a_typed_name_the_board_lives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The search stands still until a key has done its work."""
    read_on = threading.Event()

    def slow(typed: str) -> Place:
        assert read_on.wait(60)
        return Place(Position(10.6, -20.25), 50.0)

    monkeypatch.setattr("tui.cli_places.resolve", slow)
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(played(Epoch())))
        await pilot.press("U")
        await until(pilot, lambda: isinstance(app.screen, PromptScreen))
        app.screen.query_one("#typed", Input).value = "QX9ZZ"
        await pilot.press("enter", "2")
        await until(pilot, lambda: app.board.page == "fix")
        assert app.screen is app.board
        read_on.set()
        await until(pilot, lambda: isinstance(app.screen, BeamScreen) and "QX9ZZ" in screen_text(app))


async def test_it_is_saved_where_the_user_says_and_never_over_a_file(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    kept = tmp_path / "beam.txt"
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(played(Epoch()), target=ISLE))
        for _ in range(2):
            await pilot.press("U", "f2")
            await until(pilot, lambda: isinstance(app.screen, PromptScreen))
            app.screen.query_one("#typed", Input).value = str(kept)
            await pilot.press("enter")
            await until(pilot, lambda: isinstance(app.screen, BeamScreen))
            await pilot.press("escape")
        assert "Beam sheet" in kept.read_text("utf-8")
        assert len(toasts(app)) == 2
        assert any("exists" in toast or "already" in toast for toast in toasts(app))


async def test_a_hostile_name_stays_text(tmp_path: Path) -> None:
    evil = Waypoint("[bold]\x1b[2J\u202eQuay", Position(10.6, -20.3))
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(played(Epoch()), target=evil))
        await pilot.press("U")
        await pilot.pause()
        lines = str(app.screen.query_one("#beam-lines", Static).render())
        assert "[bold]" in lines
        assert "\x1b" not in lines
        assert "\u202e" not in lines


async def test_no_row_below_its_lines_stays_blank_and_thousands_are_set_apart(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(160, 60)) as pilot:
        show(app, board_state(played(Epoch()), target=ISLE))
        await pilot.press("U")
        await pilot.pause()
        text = app.screen.query_one("#beam-scroll")
        assert text.size.height == app.screen.query_one("#beam-lines").virtual_size.height
        assert text.max_scroll_y == 0
        long = next(row for row in screen_rows(app) if "long path" in row)
        assert re.search(r" \d\d,\d{3} km", long)


async def test_where_rows_are_few_it_is_scrolled_with_its_keys_in_sight(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, board_state(played(Epoch()), target=ISLE))
        await pilot.press("U")
        await pilot.pause()
        assert app.screen.query_one("#beam-scroll").max_scroll_y > 0
        assert "Esc back" in screen_text(app)
