"""Every page, list, sheet and question at every size: all of it can be reached, and a screen without room says so."""

from __future__ import annotations

from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.geometry import Size
from textual.widgets import Input

from tests.faults.screen_views import View, board_on, furnish, go, home, key, settle, signature, unreachable, views
from tests.tui.conftest import same_everywhere
from tests.tui.support import SETTLED, board_app, screen_rows, screen_text, show
from tui.app import FixboardApp
from tui.commands import COMMANDS
from tui.least_room import LEAST, TooSmall, has_room, notice
from tui.panes.cursor_list import CursorList
from tui.screens.board import BoardScreen

__all__ = ["same_everywhere"]
ALL_SIZES = ((20, 5), (40, 10), (60, 15), (80, 24), (100, 30), (132, 43), (200, 60), (300, 100))
SMALL_AND_LARGE = ((30, 8), (40, 10), (60, 15), (132, 43))
HELD_BACK = {"FixPane#fix", "GoToPane#goto"}
"""Where rows are few the board shows the position first; these have pages of their own, 2 and 5."""


def check(app: FixboardApp) -> None:
    width, height = app.size
    rows = screen_rows(app)
    assert [cell_len(row) for row in rows] == [width] * height
    lost = unreachable(app)
    if isinstance(app.screen, BoardScreen) and height < 20:
        lost = [one for one in lost if one.split()[0] not in HELD_BACK]
    assert not lost, (app.size, type(app.screen).__name__, app.board.page)


async def look_at_all(path: Path, sizes: tuple[tuple[int, int], ...], wanted: list[View]) -> int:
    """So many that look unlike one another."""
    seen = set()
    async with board_on(path) as (app, pilot):
        for view in wanted:
            await go(app, pilot, view)
            what = signature(app)
            if what not in seen:
                seen.add(what)
                for size in sizes:
                    await pilot.resize_terminal(*size)
                    await settle(pilot, app)
                    check(app)
                await pilot.resize_terminal(80, 24)
            await home(app, pilot)
    return len(seen)


FOURTHS = [views()[n::4] for n in range(4)]


@pytest.mark.parametrize("wanted", FOURTHS, ids=["a", "b", "c", "d"])
async def test_whatever_a_key_opens_fits(tmp_path: Path, wanted: list[View]) -> None:
    assert await look_at_all(furnish(tmp_path), SMALL_AND_LARGE, wanted) >= 5


@pytest.mark.slow
async def test_whatever_a_key_opens_fits_at_all_sizes(tmp_path: Path) -> None:
    assert await look_at_all(furnish(tmp_path), ALL_SIZES, views()) > 30


NAMED = {
    "list_places": "Isle",
    "logbook": "2031-05-04",
    "list_chapters": "The",
    "find_nearest": "QX",
    "settings": "units.system",
}
"""What each list's first row is known by."""


@pytest.mark.parametrize("command", NAMED)
async def test_a_list_shows_what_is_chosen_by_its_name_at_any_size(tmp_path: Path, command: str) -> None:
    opener = next(one for one in COMMANDS if one.id == command)
    async with board_on(furnish(tmp_path)) as (app, pilot):
        await go(app, pilot, View((key(opener),)))
        for size in ((LEAST.width, LEAST.height), (40, 10), (60, 15), (80, 24)):
            await pilot.resize_terminal(*size)
            await settle(pilot, app)
            (chosen,) = [row for row in screen_rows(app) if row.startswith(">")]
            assert NAMED[command] in chosen, size


async def test_a_question_and_its_line_are_in_sight_where_there_is_least_room(tmp_path: Path) -> None:
    async with board_on(furnish(tmp_path), (LEAST.width, LEAST.height)) as (app, pilot):
        for keys in (("T",), ("F", "f7"), ("o",), ("L", "f4"), ("Z", *"margin", "enter")):
            await go(app, pilot, View(keys))
            line = next(iter(app.screen.query(Input)))
            line.focus()
            await settle(pilot, app)
            region = line.region.intersection(app.screen.region)
            assert region.area == line.region.area, keys
            await home(app, pilot)


async def test_where_there_is_least_room_the_board_still_says_the_whole_position(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(LEAST.width, LEAST.height)) as pilot:
        show(app, SETTLED)
        await settle(pilot, app)
        text = screen_text(app)
        for words in ("REPLAY", "firm", "10.50000° N", "020.25000° W"):
            assert words in text


# No room at all


def test_the_notice_says_what_to_do_in_as_many_cells_as_there_are() -> None:
    for width in range(1, 60):
        for height in range(1, 20):
            lines = notice(Size(width, height))
            assert 1 <= len(lines) <= height
            assert all(0 < len(line) <= width for line in lines)
    text = " ".join(notice(Size(20, 5)))
    for words in ("Too small: 20x5", f"{LEAST.width}x{LEAST.height}", "Enlarge", "fixboard now"):
        assert words in text


@pytest.mark.parametrize("size", [(20, 5), (29, 40), (200, 7), (1, 1)])
def test_below_the_least_there_is_no_room(size: tuple[int, int]) -> None:
    assert not has_room(Size(*size))
    drawn = TooSmall(Size(*size)).render_segments(board_app(Path()).console)
    assert drawn.startswith("\x1b[0m\x1b[2J\x1b[1;1H")


def test_from_the_least_on_there_is() -> None:
    assert has_room(LEAST)
    assert has_room(Size(300, 100))


async def test_cursor_lists_are_lists(tmp_path: Path) -> None:
    """What the tests above look for is there to be found."""
    async with board_on(furnish(tmp_path)) as (app, pilot):
        for command, count in (("t", 9), ("F", 9)):
            await go(app, pilot, View((command,)))
            lists = list(app.screen.query(CursorList))
            assert [one.chosen is not None for one in lists] == [True], (command, count)
            await home(app, pilot)
