"""Pages of more rows than fit: nothing on them is out of reach, and nothing moves unless it is asked to."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.outing import Outing
from core.trust_rules import RULES
from tests.build import lines
from tests.tui.support import (
    START_S,
    Epoch,
    board_app,
    board_state,
    judging_model,
    screen_rows,
    screen_text,
    show,
)
from tui.actions.scrolling import LONG_PAGES
from tui.app import FixboardApp
from tui.canvas.grid import Span
from tui.canvas.rows import Row
from tui.own_keys import wear
from tui.panes.scrolling import NO_ROOM, window
from tui.state import BoardState

ROWS = [(Span(f"row {number}"),) for number in range(10)]
CROWD = tuple(
    f"GPGSV,5,{page},20,{page * 4 - 3:02},45,090,41,{page * 4 - 2:02},30,180,38,"
    f"{page * 4 - 1:02},60,270,44,{page * 4:02},12,010,33"
    for page in range(1, 6)
)


def on_a_trip(seconds: int) -> BoardState:
    """To the north at 1.5 m/s: eight ten-thousandths of a minute a second."""
    model = judging_model(Outing())
    for second in range(seconds):
        place = f"1030.{8 * second:04},N,02015.0000,W"
        model.feed(lines(*Epoch(float(second), course="0.0", place=place, sky=CROWD).bodies()), START_S + second)
    return board_state(model.snapshot())


STATE = on_a_trip(60)
SMALL = {"why": (80, 24), "trip": (80, 14), "clock": (80, 14), "signals": (40, 20), "averaging": (40, 12)}
"""By page: a screen that has not room for all of it."""


def words(rows: list[Row]) -> list[str]:
    return ["".join(span.text for span in row) for row in rows]


def test_what_fits_has_no_word_on_more() -> None:
    assert window(ROWS, 10, 7) == (ROWS, 0)


@pytest.mark.parametrize(
    ("first", "seen", "word"),
    [
        (0, range(3), "7 rows more below: Down"),
        (1, range(1, 4), "6 rows more below: Down, 1 row above: Up"),
        (7, range(7, 10), "7 rows above: Up"),
        (99, range(7, 10), "7 rows above: Up"),
    ],
)
def test_the_last_row_says_how_many_are_missing_and_which_key(first: int, seen: range, word: str) -> None:
    rows, furthest = window(ROWS, 4, first)
    assert words(rows) == [*(f"row {number}" for number in seen), word]
    assert furthest == 7


def test_the_user_s_own_key_is_named() -> None:
    wear({"trail_down": "f11"})
    try:
        assert words(window(ROWS, 4, 0).rows)[-1] == "7 rows more below: F11"
    finally:
        wear({})


@pytest.mark.parametrize("height", [-2, 0, 1])
def test_without_room_to_move_only_a_larger_terminal_helps(height: int) -> None:
    rows, furthest = window(ROWS, height, 3)
    assert words(rows) == [NO_ROOM] * max(0, height)
    assert furthest == 0


def word_on(app: FixboardApp) -> str:
    return next((row.strip() for row in screen_rows(app) if " more below: " in row or " above: Up" in row), "")


async def opened(app: FixboardApp, pilot: Pilot[None], page: str) -> None:
    show(app, STATE)
    app.action_page(page)
    await pilot.pause()


@pytest.mark.parametrize("page", sorted(LONG_PAGES))
async def test_every_row_is_reached_and_both_ends_hold(tmp_path: Path, page: str) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=SMALL[page]) as pilot:
        await opened(app, pilot, page)
        top = screen_rows(app)
        left = int(word_on(app).split()[0])
        await pilot.press("up")
        assert screen_rows(app) == top
        for number in range(left, 0, -1):
            assert word_on(app).startswith(f"{number} row")
            await pilot.press("down")
        assert word_on(app) == f"{left} row{'s' if left > 1 else ''} above: Up"
        end = screen_rows(app)
        await pilot.press("down", "down")
        assert screen_rows(app) == end
        await pilot.press("up")
        assert word_on(app).startswith("1 row more below")


async def test_all_rules_can_be_read_on_a_small_screen_with_their_thresholds_whole(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, "why")
        seen = screen_text(app)
        while " more below: " in screen_text(app):
            await pilot.press("down")
            seen += screen_text(app)
        assert [rule.name for rule in RULES if rule.name not in seen] == []
        assert "~" not in seen


async def test_a_page_begins_at_its_top_and_news_do_not_move_it(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, "why")
        await pilot.press("down", "down", "down")
        moved = word_on(app)
        assert moved.endswith("3 rows above: Up")
        show(app, on_a_trip(61).changed(first_row=app.state.first_row))
        await pilot.pause()
        assert word_on(app) == moved
        await pilot.press("C", "7")
        await pilot.pause()
        assert "above: Up" not in word_on(app)


async def test_a_page_that_has_become_shorter_answers_the_first_press(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, "why")
        await pilot.press(*("down",) * 12)
        await pilot.resize_terminal(80, 38)
        await pilot.pause()
        left = int(word_on(app).split()[0])
        assert left < 12
        await pilot.press("up")
        assert word_on(app) == f"1 row more below: Down, {left - 1} rows above: Up"


async def test_the_board_of_many_panes_does_not_move(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot, "board")
        before = screen_rows(app)
        await pilot.press("down", "down")
        assert app.state.first_row == 0
        assert screen_rows(app) == before
