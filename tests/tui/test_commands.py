"""Every command has its check (the files beside it); what is not marked, what is remembered, what a feed brings."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.memory import recall
from core.places.notation import Notation
from tests.tui import test_commands_look, test_commands_places, test_commands_sources
from tests.tui.support import (
    ISLE,
    SETTLED,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    board_state,
    played,
    screen_text,
    show,
    toasts,
    until,
    walked,
)
from tui.app import FixboardApp
from tui.commands import COMMANDS
from tui.opening import Opening

TABLES = (test_commands_look.CHECKS, test_commands_places.CHECKS, test_commands_sources.CHECKS)


def test_every_command_is_checked() -> None:
    assert sorted(command.id for command in COMMANDS) == sorted(name for table in TABLES for name in table)


# Marking where there is nothing to mark


NO_MARKS = (
    (board_state(walked(3, Epoch(valid=False))), "No current fix"),
    (board_state(age_s=4.0), "No current fix"),
    (board_state(played(Epoch(), Epoch(second=1.0, valid=False))), "No current fix"),
    (board_state(walked(3, Epoch(mode="S", quality="8"))), "simulat"),
    (board_state(walked(3, Epoch(mode="E", quality="6"))), "estimated"),
)


async def test_nothing_is_marked_without_a_current_satellite_fix(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        for state, words in NO_MARKS:
            show(app, state)
            await pilot.press("m")
            await pilot.pause()
            assert words in toasts(app)[-1]
            app.clear_notifications()
        assert not (tmp_path / "waypoints.gpx").exists()


async def test_a_mark_that_cannot_be_saved_is_said_and_the_board_goes_on(tmp_path: Path) -> None:
    app = board_app(tmp_path / "data")
    (tmp_path / "data").write_text("a file where the folder should be")
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, SETTLED)
        await pilot.press("m")
        await pilot.pause()
        assert str(tmp_path / "data") in toasts(app)[-1]
        await pilot.press("n")
        assert app.state.notation is Notation.DEGREES_MINUTES
        assert app.session.waypoints == ()


# What is remembered


async def test_target_notation_and_theme_survive_a_restart(tmp_path: Path) -> None:
    first = board_app(tmp_path, theme="")
    async with first.run_test(size=(80, 24)) as pilot:
        show(first, SETTLED)
        await pilot.press("m", "escape", "g", "n", "c")
        await pilot.pause()
        target = first.state.target
    second = board_app(tmp_path, theme="")
    async with second.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert second.state.target == target
        assert second.state.notation is Notation.DEGREES_MINUTES
        assert second.theme == "fixboard-daylight"


@pytest.mark.parametrize("kept", [b"\xff\xfe", b'theme = "sepia"\nnotation = "x"\ntarget = "none"', b"theme = 3"])
async def test_a_damaged_memory_is_no_memory(tmp_path: Path, kept: bytes) -> None:
    (tmp_path / "board.toml").write_bytes(kept)
    app = board_app(tmp_path, theme="")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert (app.theme, app.state.notation, app.state.target) == ("fixboard-dark", Notation.DECIMAL, None)


async def test_a_target_that_is_gone_from_the_file_is_no_target(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    app.session.keep_route((ISLE,))
    assert ISLE.name in recall(tmp_path / "board.toml").route
    async with board_app(tmp_path).run_test(size=(80, 24)) as pilot:
        assert isinstance(pilot.app, FixboardApp)
        assert pilot.app.state.target is None


# From a feed's thread to the screen


async def test_a_feed_s_newest_snapshot_reaches_the_board(tmp_path: Path) -> None:
    source = ScriptedSource(arrivals_of(*(Epoch(second=float(n)) for n in range(4))))
    app = board_app(tmp_path, ScriptedOpening(source))
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: app.state.snapshot.counts.epochs == 4)
        assert app.state.is_current
        await pilot.pause()
        assert "10.50000° N" in screen_text(app)


async def test_what_cannot_be_opened_is_said_and_the_board_stays(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        state = board_state()
        show(app, state)
        app.open(Opening(tmp_path / "nowhere.nmea"))
        await pilot.pause()
        assert "nowhere.nmea" in toasts(app)[-1]
        assert app.state is state
