"""The first frame: everything where it will be, nothing said that is not so, no key lost until the board is there."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

import replays
from core.locations import Locations
from core.sources.source import SourceKind, SourceState, SourceStatus
from core.timeline import Timeline
from tests.tui.support import board_app, screen_rows, show, until
from tui.app import FixboardApp
from tui.canvas.palettes import Depth
from tui.first_layout import Room, heads, room
from tui.first_words import FirstWords
from tui.opening import Openable, Opening
from tui.panes.first_frame import FirstFrame
from tui.screens.board import BoardScreen
from tui.session import Look, Session
from tui.starting import Beginning, StartingApp
from tui.state import BoardState

WIDTHS = (30, 69, 70, 109, 110, 119, 120, 200)
HEIGHTS = (8, 13, 19, 20, 33, 34, 35, 36, 40, 61)
PANES = ("position", "fix", "goto", "sky", "compass", "wire")
PLAYING = BoardState().changed(
    status=SourceStatus(SourceKind.REPLAY, "walk.nmea", SourceState.PLAYING), timeline=Timeline(duration_s=60.0)
)
FRAMES = ((120, 40), (120, 24), (80, 24), (80, 40), (60, 18), (30, 8), (200, 60))


def captions(app: FixboardApp) -> set[tuple[str, int, int, int]]:
    """Of the board's panes that are in sight: caption, column, row, width."""
    shown = [pane for pane in map(app.board.query_one, (f"#{name}" for name in PANES)) if _in_sight(app, pane)]
    return {(pane.caption, pane.region.x, pane.region.y, pane.region.width) for pane in shown}  # type: ignore[attr-defined]  # all are CanvasPanes


def _in_sight(app: FixboardApp, pane: object) -> bool:
    found = app.board.find_widget(pane) if pane in app.board._compositor.visible_widgets else None
    return found is not None and found.clip.contains(found.region.x, found.region.y) and found.region.height > 1


@pytest.mark.parametrize("is_recording", [False, True])
async def test_captions_stand_where_the_boards_will_stand_at_every_size(tmp_path: Path, is_recording: bool) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        if is_recording:
            show(app, PLAYING)
        for width in WIDTHS:
            for height in HEIGHTS:
                await pilot.resize_terminal(width, height)
                expected = {tuple(head) for head in heads(room(width, height, is_recording=is_recording))}
                if captions(app) != expected:  # the last of the messages of a new size may be under way
                    await pilot.pause(0.5)
                assert captions(app) == expected, (width, height)


def test_a_screen_of_no_size_has_no_panes() -> None:
    assert heads(Room(0, 0, 0)) == ()


# What it says


def starting(folder: Path, *openings: Openable, words: FirstWords | None = None) -> StartingApp:
    session = Session(Locations(folder), Look())
    app = StartingApp(session, Depth.TRUECOLOR, Beginning(words or FirstWords(), lambda: openings))
    app.animation_level = "none"
    return app


async def board_rows(folder: Path, size: tuple[int, int]) -> list[str]:
    app = board_app(folder)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        return screen_rows(app)


class Halted(StartingApp):
    """Stays at its first frame."""

    def _go_on(self) -> None:
        pass


@pytest.mark.parametrize("size", FRAMES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_what_it_says_stays_in_its_place_on_a_board_to_which_nothing_has_come(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    board = await board_rows(tmp_path, size)
    app = Halted(Session(Locations(tmp_path), Look()), Depth.TRUECOLOR, Beginning(FirstWords(), lambda: ()))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        first = screen_rows(app)  # type: ignore[arg-type]  # any App has a screen
    assert "nothing open yet" in first[0]
    assert "nothing has" in first[1]
    # The first row says what is being opened, which the board says in its own words.
    said = [(x, y) for y, row in enumerate(first) if y for x, char in enumerate(row) if char != " "]
    assert [(x, y, first[y][x], board[y][x]) for x, y in said if first[y][x] != board[y][x]] == []


async def test_a_held_place_has_a_position_so_it_does_not_say_that_there_is_none(tmp_path: Path) -> None:
    words = FirstWords("Isle of Quennet", is_held=True)
    app = Halted(Session(Locations(tmp_path), Look()), Depth.TRUECOLOR, Beginning(words, lambda: ()))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        text = "\n".join(screen_rows(app))  # type: ignore[arg-type]  # any App has a screen
    assert "opening Isle of Quennet" in text
    assert "no fix" not in text
    assert "no position" not in text


# From it to the board


def walk() -> Opening:
    return Opening(replays.path("first_walk"), remark="demo")


async def become(pilot: Pilot[None], app: StartingApp) -> FixboardApp:
    """Wait for the board."""
    await until(pilot, lambda: isinstance(app, FixboardApp) and isinstance(app.screen, BoardScreen))
    await pilot.pause()
    assert isinstance(app, FixboardApp)
    return app


async def test_it_becomes_the_board_on_what_was_asked_for(tmp_path: Path) -> None:
    app = starting(tmp_path, walk())
    async with app.run_test(size=(120, 40)) as pilot:
        board = await become(pilot, app)
        await until(pilot, lambda: "REPLAY" in screen_rows(board)[0])
        assert board.state.status.name == "first_walk.nmea.gz"
        await pilot.press("5")
        assert board.board.page == "goto"


async def test_nothing_is_made_of_the_board_before_the_first_frame_is_drawn(tmp_path: Path) -> None:
    happened: list[str] = []

    def openings() -> tuple[Openable, ...]:
        happened.append("openings")
        return ()

    words = Beginning(FirstWords("a name"), openings)
    app = StartingApp(Session(Locations(tmp_path), Look()), Depth.TRUECOLOR, words)
    display = app._display

    def watched(screen: object, renderable: object) -> None:
        if renderable is not None and not app._batch_count and app.screen.query(FirstFrame):
            happened.append("frame")
        display(screen, renderable)  # type: ignore[arg-type]  # handed on as it came

    app._display = watched  # type: ignore[method-assign]  # to look at what is written
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: "openings" in happened)
    assert happened[0] == "frame"


@pytest.mark.parametrize(("early", "late", "page"), [("15", "6", "wire"), ("6", "51", "position"), ("", "5", "goto")])
async def test_keys_pressed_before_the_board_is_there_are_obeyed_in_their_order(
    tmp_path: Path, early: str, late: str, page: str
) -> None:
    """`late` are those that come while the board is being made."""

    def openings() -> tuple[Openable, ...]:
        press(app, late)
        return (walk(),)

    app = StartingApp(Session(Locations(tmp_path), Look()), Depth.TRUECOLOR, Beginning(FirstWords("a name"), openings))
    async with app.run_test(size=(120, 40)) as pilot:
        press(app, early)
        board = await become(pilot, app)
        await until(pilot, lambda: board.board.page == page)
        await pilot.pause(0.05)
        assert board.board.page == page


def press(app: StartingApp, keys: str) -> None:
    for key in keys:
        app.post_message(events.Key(key, key))


async def test_a_terminal_that_is_resized_meanwhile_gets_its_frame(tmp_path: Path) -> None:
    app = Halted(Session(Locations(tmp_path), Look()), Depth.TRUECOLOR, Beginning(FirstWords(), lambda: ()))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        rows = screen_rows(app)  # type: ignore[arg-type]  # any App has a screen
        assert len(rows) == 24
        assert rows[2][39:46] == "Compass"


async def test_both_have_the_same_keys_and_theme(tmp_path: Path) -> None:
    starts, stays = StartingApp._merged_bindings, FixboardApp._merged_bindings
    assert starts and stays
    assert starts.key_to_bindings == stays.key_to_bindings
    session = Session(Locations(tmp_path), Look(theme="night"))
    app = StartingApp(session, Depth.TRUECOLOR, Beginning(FirstWords(), tuple))
    async with app.run_test(size=(120, 40)) as pilot:
        assert app.screen.query_one(FirstFrame).palette.name == "night"
        board = await become(pilot, app)
        assert board.board.palette.name == "night"
