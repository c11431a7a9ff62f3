"""What all lists of the board do alike: the cursor, the wheel, the rows in sight."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.logbook_support import chosen, much_later, opened, two_sessions
from tests.tui.support import board_app, rows_of, screen_text, toasts, until
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row
from tui.panes.cursor_list import CursorList
from tui.panes.session_details import SessionDetailsPane
from tui.panes.session_list import SessionListPane

__all__ = ["much_later"]
"""A fixture that every test here uses."""


class Numbers(CursorList[int]):
    """Each as itself, the chosen one with a mark."""

    def __init__(self, count: int) -> None:
        super().__init__("numbers", lambda one: one)
        self.fill(range(count), "There are none.")

    def row(self, item: int, width: int, *, chosen: bool) -> Row:
        del width
        return (Span(f"{'>' if chosen else ' '}{item}", Ink.TEXT),)


def seen(pane: CursorList[int], height: int) -> list[str]:
    grid = Grid(20, height)
    pane.paint(grid)
    return rows_of(grid)


async def test_a_list_stands_in_its_place_from_its_first_picture_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not for an instant as on a narrow screen."""
    widths: list[tuple[str, int]] = []
    paint = CursorList.paint

    def watched(pane: CursorList[object], grid: Grid) -> None:
        widths.append((type(pane).__name__, grid.width))
        paint(pane, grid)

    monkeypatch.setattr(CursorList, "paint", watched)
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        for key in ("t", "F", "L"):
            widths.clear()
            await pilot.press(key)
            await until(pilot, lambda: bool(widths))
            await pilot.pause()
            assert {width for _, width in widths} == {73}
            await pilot.press("escape")


@pytest.mark.parametrize(
    ("opens", "keys", "says"),
    [
        ("t", ("f2", "f5", "f6", "f8", "enter"), "F4 adds one"),
        ("F", ("f2", "f6", "enter"), "F7 copies one"),
        ("L", ("f2", "f4", "f7", "f8", "enter"), "r on the board records"),
    ],
)
async def test_in_an_empty_list_a_key_for_the_chosen_one_says_how_to_get_one(
    tmp_path: Path, opens: str, keys: tuple[str, ...], says: str
) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press(opens)
        await until(pilot, lambda: says in screen_text(app))
        for key in keys:
            app.clear_notifications()
            await pilot.press(key)
            assert says in toasts(app)[-1]


def test_the_cursor_is_always_in_sight() -> None:
    pane = Numbers(10)
    assert seen(pane, 3) == [">0", " 1", " 2"]
    pane.move(4)
    assert seen(pane, 3) == [" 2", " 3", ">4"]
    pane.move(-3)
    assert seen(pane, 3) == [">1", " 2", " 3"]
    pane.move(100)
    assert seen(pane, 3) == [" 7", " 8", ">9"]


def test_no_row_is_left_blank_while_there_are_items_above() -> None:
    pane = Numbers(10)
    pane.move(100)
    assert seen(pane, 3)[-1] == ">9"
    assert seen(pane, 6) == [" 4", " 5", " 6", " 7", " 8", ">9"]
    assert seen(pane, 12)[:10] == [*(f" {n}" for n in range(9)), ">9"]


def test_an_item_is_chosen_by_its_key_and_one_that_is_not_listed_changes_nothing() -> None:
    pane = Numbers(10)
    pane.choose(7)
    assert pane.chosen == 7
    pane.choose(70)
    assert pane.chosen == 7
    pane.fill((), "There are none.")
    assert pane.chosen is None
    assert seen(pane, 2)[0].strip() == "There are none."


async def test_the_wheel_takes_the_details_with_it(tmp_path: Path) -> None:
    two_sessions(tmp_path / "recordings")
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot)
        before = chosen(app)
        screen.query_one(SessionListPane).on_mouse_scroll_down()
        assert chosen(app) != before
        details = screen.query_one(SessionDetailsPane)
        await until(pilot, lambda: details._entry is not None and details._entry.session.key == chosen(app))
