"""Chapters made, changed and deleted on the board: their sheet and their list. All invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from core.chapter_file import read_entries
from core.errors import InputError
from tests.tui.chapters_support import THREE, at_s, board, file_of, go, indexed, titles, walk_in
from tests.tui.support import board_app, screen_rows, screen_text, toasts, until
from tui.app import FixboardApp
from tui.commands import CHAPTER_COMMANDS
from tui.offers import DEMO
from tui.opening import Opening
from tui.panes.chapter_list import ChapterListPane
from tui.screens.board import PAGES
from tui.screens.chapter_sheet import ChapterSheet
from tui.screens.chapters import ChaptersScreen


@pytest.fixture
def walk(tmp_path: Path) -> Path:
    return walk_in(tmp_path / "walks")


# Making one


async def test_a_chapter_is_made_here_and_stands_in_its_place(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        app.seek_to(100.4)
        await until(pilot, lambda: app.state.timeline is not None and not app.state.timeline.is_seeking)
        await pilot.press("7", "M")
        await pilot.pause()
        assert app.screen.query_one("#chapter-at", Input).value == "0:01:40"
        assert app.screen.query_one("#chapter-page", Input).value == "why"
        await pilot.press(*"A gate", "tab", *"Mind it.", "enter")
        await pilot.pause()
        assert titles(walk) == ["Setting out", "Under trees", "A gate", "On the top"]
        made = read_entries(file_of(walk), PAGES)[2]
        assert (str(made.when), made.words, made.page) == ("0:01:40", "Mind it.", "why")
        assert file_of(walk).read_text().startswith("# For the club evening\n")
        assert [one.at_s for one in app.state.chapters.items] == [30.0, 60.0, 100.0, 180.0]
        assert not isinstance(app.screen, ChapterSheet)


@pytest.mark.parametrize("glyphs", ["braille", "plain"])
async def test_every_line_of_the_sheet_shows_what_is_in_it(tmp_path: Path, walk: Path, glyphs: str) -> None:
    """A frame, as other lines of plain characters have, would take the one row that each has."""
    app = board(tmp_path, walk, glyphs)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        await go(app, pilot, "K")
        await pilot.press("down", "f2")
        await until(pilot, lambda: isinstance(app.screen, ChapterSheet))
        await pilot.pause()
        text = screen_text(app)
        for words in ("Under trees", "a sentence or two", "12:01:00Z", "sky", "20", "0.5"):
            assert words in text


async def test_the_one_that_plays_is_marked_right_after_another_was_deleted_or_brought_back(
    tmp_path: Path, walk: Path
) -> None:
    """The recording stands still: no later moment comes to put that right."""
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        app.seek_to(70.0)
        await until(pilot, lambda: app.state.timeline is not None and not app.state.timeline.is_seeking)
        await go(app, pilot, "K")
        for key, playing in (("f8", "Setting out"), ("f9", "Under trees")):
            await pilot.press(key)
            await until(pilot, lambda playing=playing: f"* {playing}" in screen_text(app))  # type: ignore[misc]  # as it is now


async def test_a_mistake_is_named_and_what_was_typed_stays(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        await pilot.press("M")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "title is empty" in screen_text(app)
        app.screen.query_one("#chapter-title", Input).value = "Kept"
        app.screen.query_one("#chapter-page", Input).value = "skye"
        await pilot.press("enter")
        await pilot.pause()
        assert "did you mean sky?" in screen_text(app)
        assert app.screen.query_one("#chapter-title", Input).value == "Kept"
        await pilot.press("escape")
        await pilot.pause()
        assert file_of(walk).read_text() == THREE


async def test_bundled_chapters_are_not_the_user_s_to_edit(tmp_path: Path, walk: Path) -> None:
    app = board_app(tmp_path / "data", Opening(walk, remark=DEMO))
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        await pilot.press("M")
        assert "copy it" in toasts(app)[-1]
        await pilot.press("K")
        await pilot.pause()
        await pilot.press("f8", "f2")
        await pilot.pause()
        assert isinstance(app.screen, ChaptersScreen)
        assert file_of(walk).read_text() == THREE


# The list


async def listed(app: FixboardApp, pilot: Pilot[None]) -> ChaptersScreen:
    await indexed(app, pilot)
    await pilot.press("K")
    await until(pilot, lambda: isinstance(app.screen, ChaptersScreen) and app.screen.is_mounted)
    await pilot.pause()
    screen = app.screen
    assert isinstance(screen, ChaptersScreen)
    return screen


async def test_the_list_shows_times_titles_and_scenes_and_enter_goes_there(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(100, 30)) as pilot:
        await listed(app, pilot)
        rows = screen_rows(app)
        assert any("0:01:00" in row and "Under trees" in row for row in rows)
        assert "3 in walk.chapters.toml" in screen_text(app)
        await pilot.press("down")
        assert "12:01:00Z" in screen_text(app)
        await pilot.press("K")
        assert len([one for one in app.screen_stack if isinstance(one, ChaptersScreen)]) == 1
        await go(app, pilot, "enter")
        assert not isinstance(app.screen, ChaptersScreen)
        assert at_s(app) == pytest.approx(60.0, abs=1.0)
        assert app.board.page == "sky"


async def test_one_is_changed_on_the_list(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await listed(app, pilot)
        await pilot.press("f2")
        await pilot.pause()
        app.screen.query_one("#chapter-title", Input).value = "Off he goes"
        app.screen.query_one("#chapter-at", Input).value = "0:00:40"
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, ChaptersScreen)
        assert file_of(walk).read_text() == THREE.replace("Setting out", "Off he goes").replace("0:00:30", "0:00:40")
        assert app.state.chapters.items[0].at_s == 40.0
        assert "Off he goes" in screen_text(app)


async def test_deleted_and_brought_back(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await listed(app, pilot)
        await pilot.press("f9")
        assert "No chapter was deleted" in toasts(app)[-1]
        await pilot.press("down", "f8")
        await pilot.pause()
        assert titles(walk) == ["Setting out", "On the top"]
        assert len(app.state.chapters.items) == 2
        await pilot.press("f9")
        await pilot.pause()
        assert titles(walk) == ["Setting out", "Under trees", "On the top"]
        chosen = screen.query_one(ChapterListPane).chosen
        assert chosen is not None
        assert chosen.entry.title == "Under trees"


async def test_what_cannot_be_saved_is_said(tmp_path: Path, walk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise InputError("walk.chapters.toml could not be saved (no room)")

    monkeypatch.setattr("core.chapter_book.replace_file", fails)
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await listed(app, pilot)
        await pilot.press("f8")
        await pilot.pause()
        assert "no room" in toasts(app)[-1]
        assert len(app.state.chapters.items) == 3


async def test_the_footer_names_every_key_of_the_list(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(120, 40)) as pilot:
        await listed(app, pilot)
        last = screen_rows(app)[-1]
        assert all(command.label in last for command in CHAPTER_COMMANDS)
