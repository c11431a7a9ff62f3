"""Keys: each command reachable in every way it should be, none in two places, none through a dialogue."""

from __future__ import annotations

from collections import Counter
from itertools import chain
from pathlib import Path

import pytest
from textual.app import App
from textual.binding import Binding
from textual.command import CommandList
from textual.screen import Screen
from textual.widgets import Input
from textual.widgets._footer import FooterKey

from core.locations import Locations
from tests.tui.support import SETTLED, board_app, board_state, screen_rows, screen_text, show, until
from tui.app import FixboardApp
from tui.canvas.palettes import Depth
from tui.commands import (
    CAUTIONS,
    COMMANDS,
    GROUPS,
    LOG_COMMANDS,
    PLACE_COMMANDS,
    SETTING_COMMANDS,
    SHEETS,
    STATION_COMMANDS,
    key_names,
)
from tui.guides import GUIDES
from tui.own_keys import wear
from tui.screens.chooser import ChooserScreen
from tui.screens.help import HelpScreen, help_text
from tui.screens.pick import Choice, PickScreen
from tui.session import Look, Session
from tui.state import Orientation

KEYS = [key for command in COMMANDS for key in command.key.split(",")]


def test_no_two_commands_share_a_key_a_name_or_a_label() -> None:
    assert [key for key, count in Counter(KEYS).items() if count > 1] == []
    assert len({command.id for command in COMMANDS}) == len(COMMANDS)
    assert len({command.label for command in COMMANDS}) == len(COMMANDS)


def test_no_command_takes_a_key_that_the_toolkit_needs() -> None:
    taken = {binding.key for binding in App.BINDINGS if isinstance(binding, Binding)}
    assert len(taken) > 1
    assert (taken | {"tab", "enter", "ctrl+p"}).isdisjoint(KEYS)


def test_every_command_is_in_one_group_and_explained() -> None:
    for command in COMMANDS:
        assert command.group in GROUPS
        assert command.help[0].isupper()
        assert not command.help.endswith(".")
        assert len(command.label) <= 12
    every = (*COMMANDS, *PLACE_COMMANDS, *LOG_COMMANDS, *STATION_COMMANDS, *SETTING_COMMANDS, *chain(*SHEETS))
    assert {command.group for command in every} == set(GROUPS)


def test_help_names_every_command_with_every_key_and_every_caution() -> None:
    text = help_text().plain
    for command in COMMANDS:
        assert f" {key_names(command)} {command.help}" in " ".join(text.split())
    for group in GROUPS:
        assert f"\n{group}\n" in text
    for caution in CAUTIONS:
        assert caution in text


@pytest.mark.parametrize("glyphs", ["braille", "plain"])
async def test_at_night_the_palette_shows_nothing_in_the_terminal_s_own_colours(tmp_path: Path, glyphs: str) -> None:
    """Of sixteen colours: black is said to be so, since the terminal's own may be white."""
    session = Session(Locations(tmp_path), Look(glyphs, "night"))
    app = FixboardApp(session, (), Depth.COLOURS_16)
    async with app.run_test(size=(100, 30)) as pilot:
        show(app, SETTLED)
        await pilot.press("ctrl+p", *"back")
        await until(pilot, lambda: "Ten seconds back" in screen_text(app))
        names = {
            style.bgcolor.name
            for strip in app.screen._compositor.render_strips()
            for _, style, _ in strip
            if style is not None and style.bgcolor is not None
        }
        assert names <= {"black", "red", "color(0)", "color(1)"}


async def test_every_command_has_a_key_in_the_app_and_stands_in_the_palette(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)):
        bound = {key: active.binding.action for key, active in app.screen.active_bindings.items()}
        offered = {command.title: command.help for command in app.get_system_commands(app.screen)}
        for command in COMMANDS:
            assert {bound[key] for key in command.key.split(",")} == {command.action}
            assert offered[f"{command.label}: {key_names(command)}"] == command.help
        assert len(offered) == len(COMMANDS) + len(GUIDES)


async def test_the_palette_names_the_keys_and_the_users_own_in_place_of_them(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        wear({"logbook": "f12,ctrl+l"})
        try:
            await pilot.press("ctrl+p", *"logbook")
            await until(pilot, lambda: "Logbook: F12 ctrl+l" in screen_text(app))
        finally:
            wear({})
        offered = [command.title for command in app.get_system_commands(app.screen)]
        assert "Logbook: L" in offered
        assert "Earlier: Left" in offered


async def test_the_footer_holds_what_it_should_and_all_of_it_fits_in_eighty_columns(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, board_state())
        await pilot.pause()
        await pilot.pause()
        wanted = [command.label for command in COMMANDS if command.footer]
        assert [key.description for key in app.screen.query(FooterKey)] == wanted
        footer = screen_rows(app)[-1]
        assert [label for label in wanted if label not in footer] == []


async def test_a_narrow_footer_still_says_how_to_get_help(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(40, 20)) as pilot:
        await pilot.pause()
        assert "F1 Help" in screen_rows(app)[-1]


async def test_the_palette_runs_a_command_by_its_name(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, board_state())
        await pilot.press("ctrl+p", *"Compa")
        palette = app.screen
        await until(pilot, lambda: palette.query_one(CommandList).option_count > 0)
        await pilot.press("down", "enter")
        await until(pilot, lambda: app.board.page == "compass")


def dialogues() -> list[Screen[object]]:
    choices = [Choice("Isle of Quennet", "2031-05-04"), Choice("Ommery Top", "")]
    return [
        HelpScreen(),  # type: ignore[list-item]  # they differ in what they are dismissed with
        PickScreen("Go to", choices, ""),  # type: ignore[list-item]
        PickScreen("Go to", [], "No waypoint yet."),  # type: ignore[list-item]
        ChooserScreen(choices),  # type: ignore[list-item]
    ]


async def test_no_key_goes_through_a_dialogue(tmp_path: Path) -> None:
    """Those that the dialogue takes itself close it; all others do nothing to what lies under it."""
    ours = {command.id for command in COMMANDS}
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        state = board_state()
        show(app, state)
        for dialogue in dialogues():
            app.push_screen(dialogue)
            await pilot.pause()
            assert [key for key, active in dialogue.active_bindings.items() if active.binding.id in ours] == []
            await pilot.press("m", "x", "7", "c", "plus")
            assert app.screen is dialogue
            assert app.state is state
            assert (app.board.page, app.theme) == ("board", "fixboard-dark")
            assert app.session.waypoints == ()
            await pilot.press("escape")
            await pilot.pause()
            assert app.screen is app.board


async def test_what_is_typed_into_a_line_is_no_command(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, board_state())
        await pilot.press("o", "tab", *"numx0")
        await pilot.pause()
        assert app.screen.query_one(Input).value == "numx0"
        assert app.state.orientation is Orientation.NORTH_UP
        await pilot.press("escape")


async def test_help_is_scrolled_with_keys_where_it_does_not_fit(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f1")
        await pilot.pause()
        assert "Not for primary navigation" in screen_text(app)
        assert "Esc goes back." not in screen_text(app)
        await pilot.press("end")
        await pilot.pause()
        assert "Esc goes back." in screen_text(app)
