"""Storms of new sizes, keys and epochs: nothing raises, nothing leaves the screen. The dice are the same every time."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.pilot import Pilot
from textual.widgets import Input

from tests.faults.screen_views import View, furnish, views
from tests.tui.conftest import same_everywhere
from tests.tui.support import ISLE, Epoch, board_app, board_state, screen_rows, show, walked
from tui.app import FixboardApp
from tui.screens.chooser import ChooserScreen
from tui.state import BoardState, Orientation

__all__ = ["same_everywhere"]
WORDS = ("", "a", "Isle 3", "10.5 N 20.25 W", "\x1b[2J", "12:00:05", "世界")
STATES = (
    board_state(walked(6, Epoch(more=("GNHDT,200.0,T",))), target=ISLE, orientation=Orientation.COURSE_UP),
    BoardState(),
    board_state(walked(3, Epoch(valid=False)), target=replace(ISLE, name="\x1b[31m世界\u202e" * 9)),
    board_state(walked(12)).changed(now_s=1e6),
)


def keys() -> list[View]:
    """All that can be pressed, but what waits for a thread that reads or writes files."""
    return views()


def size(dice: random.Random) -> tuple[int, int]:
    if dice.random() < 0.2:
        return dice.randrange(1, 31), dice.randrange(1, 9)
    return dice.randrange(20, 180), dice.randrange(5, 60)


async def storm(tmp_path: Path, seed: int, gusts: int) -> None:
    dice = random.Random(seed)
    path = furnish(tmp_path)
    app = board_app(path.parent.parent / "data")
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(gusts):
            for _ in range(dice.randrange(1, 4)):
                await pilot.resize_terminal(*size(dice))
            show(app, dice.choice(STATES))
            if dice.random() < 0.5:
                await pilot.press(*dice.choice(keys()).keys)
            if dice.random() < 0.2:
                write(app, dice)
            if dice.random() < 0.3:
                await leave(pilot, app)
            await pilot.pause()
            check(app)


async def leave(pilot: Pilot[None], app: FixboardApp) -> None:
    """By Esc; the chooser is taken away, since on a board that watches nothing Esc there ends the program."""
    if isinstance(app.screen, ChooserScreen):
        app.pop_screen()
    else:
        await pilot.press("escape")


def write(app: FixboardApp, dice: random.Random) -> None:
    for line in app.screen.query(Input):
        line.value = dice.choice(WORDS)


def check(app: FixboardApp) -> None:
    assert app.is_running
    width, height = app.size
    assert [cell_len(row) for row in screen_rows(app)] == [width] * height


@pytest.mark.parametrize("seed", [1, 2, 3])
async def test_a_short_storm(tmp_path: Path, seed: int) -> None:
    await storm(tmp_path, seed, 40)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 108))
async def test_a_long_storm(tmp_path: Path, seed: int) -> None:
    await storm(tmp_path, seed, 400)
