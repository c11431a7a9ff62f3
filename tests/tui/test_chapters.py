"""Chapters on the board, by their keys: captions, scenes, the list and its sheet. Recording, places, names invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from core.chapter_file import read_entries
from core.chapters import Chapter, Chapters
from core.errors import InputError
from core.sources.source import SourceState
from core.timeline import Timeline
from tests.logbooks import NOON, epoch
from tests.tui.support import REPLAYING, board_app, board_state, screen_rows, screen_text, show, toasts, until
from tui.app import FixboardApp
from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Grid
from tui.commands import CHAPTER_COMMANDS
from tui.offers import DEMO
from tui.opening import Opening
from tui.panes.caption import SHOWN_S, CaptionLines, caption_lines, caption_of
from tui.panes.chapter_list import ChapterListPane
from tui.screens.board import PAGES
from tui.screens.chapter_sheet import ChapterSheet
from tui.screens.chapters import ChaptersScreen

SECONDS = 300
THREE = """# For the club evening
[[chapter]]
at = "0:00:30"
title = "Setting out"
words = "He leaves the gate."

[[chapter]]
at = "12:01:00Z"
title = "Under trees"
page = "sky"
mask_deg = 20
pace = 0.5

[[chapter]]
at = "0:03:00"
title = "On the top"
"""


@pytest.fixture
def walk(tmp_path: Path) -> Path:
    folder = tmp_path / "walks"
    folder.mkdir()
    path = folder / "walk.nmea"
    path.write_bytes(b"".join(epoch(NOON + timedelta(seconds=n), n) for n in range(SECONDS)))
    path.with_name("walk.chapters.toml").write_text(THREE)
    return path


def board(tmp_path: Path, walk: Path) -> FixboardApp:
    return board_app(tmp_path / "data", Opening(walk))


def at_s(app: FixboardApp) -> float:
    timeline = app.state.timeline
    return timeline.position_s if timeline else -1.0


async def indexed(app: FixboardApp, pilot: Pilot[None]) -> None:
    """Read to its end, so that every time of day has its moment; and standing still, so that no test is in a hurry."""
    await until(pilot, lambda: app.state.timeline is not None and app.state.timeline.duration_s is not None)
    if app.state.status.state is SourceState.PLAYING:
        await pilot.press("space")
    app._tick()
    await pilot.pause()


async def go(app: FixboardApp, pilot: Pilot[None], *keys: str) -> None:
    """Press, and wait until it has come there."""
    for key in keys:
        await pilot.press(key)
        await until(pilot, lambda: app.state.timeline is not None and not app.state.timeline.is_seeking)
    await pilot.pause()


def file_of(walk: Path) -> Path:
    return walk.with_name("walk.chapters.toml")


def titles(walk: Path) -> list[str]:
    return [entry.title for entry in read_entries(file_of(walk), PAGES)]


# Opening


async def test_chapters_are_found_beside_the_recording_times_of_day_too(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        assert [(one.at_s, one.title) for one in app.state.chapters.items] == [
            (30.0, "Setting out"),
            (60.0, "Under trees"),
            (180.0, "On the top"),
        ]


async def test_a_damaged_file_is_said_once_with_its_line_and_the_recording_plays(tmp_path: Path, walk: Path) -> None:
    file_of(walk).write_text(THREE.replace("mask_deg = 20", "mask_deg = 200"))
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.state.snapshot.counts.epochs > 0)
        app._tick()
        app._tick()
        said = [text for text in toasts(app) if "walk.chapters.toml" in text]
        assert len(said) == 1
        assert "line 11" in said[0]
        assert app.state.chapters.items == ()
        before = file_of(walk).read_text()
        await pilot.press("M")
        await pilot.pause()
        app.screen.query_one("#chapter-title", Input).value = "New"
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, ChapterSheet)
        assert "line 11" in screen_text(app)
        assert file_of(walk).read_text() == before


async def test_another_recording_has_chapters_of_its_own(tmp_path: Path, walk: Path) -> None:
    other = walk.with_name("other.nmea")
    other.write_bytes(walk.read_bytes())
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        app.open(Opening(other))
        await pilot.pause()
        assert app.state.chapters.items == ()


# Going from one to the next


async def test_next_and_previous_and_both_ends(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        await go(app, pilot, "P")
        assert "no chapter before" in toasts(app)[-1]
        await go(app, pilot, "N")
        assert at_s(app) == pytest.approx(30.0, abs=1.0)
        await go(app, pilot, "N", "N")
        assert at_s(app) == pytest.approx(180.0, abs=1.0)
        await go(app, pilot, "N")
        assert "last chapter" in toasts(app)[-1]
        await go(app, pilot, "P")
        assert at_s(app) == pytest.approx(60.0, abs=1.0)
        app.seek_to(100.0)
        await go(app, pilot, "P")
        assert at_s(app) == pytest.approx(60.0, abs=1.0)


async def test_a_chapter_between_two_epochs_does_not_hold_the_key_up(tmp_path: Path, walk: Path) -> None:
    file_of(walk).write_text(THREE.replace("0:00:30", "0:00:30.9"))
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        await go(app, pilot, "N", "N")
        assert at_s(app) == pytest.approx(60.0, abs=1.0)


async def test_a_scene_is_set_by_key_and_taken_back_by_the_next(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        await go(app, pilot, "N", "N")
        assert (app.board.page, app.state.sky.mask_deg, app.state.status.pace) == ("sky", 20, 0.5)
        await go(app, pilot, "N")
        assert (app.board.page, app.state.sky.mask_deg, app.state.status.pace) == ("sky", 0, 1.0)
        await go(app, pilot, "P")
        await pilot.press("plus", "right")
        assert (app.state.sky.mask_deg, app.state.status.pace) == (25, 1.0)
        await go(app, pilot, "N")
        assert (app.state.sky.mask_deg, app.state.status.pace) == (25, 1.0)


async def test_while_it_plays_no_scene_is_set_but_on_stage_it_is(tmp_path: Path, walk: Path) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        for is_stage, page in ((False, "board"), (True, "sky")):
            app.seek_to(58.0)
            await until(pilot, lambda: app.state.timeline is not None and not app.state.timeline.is_seeking)
            show(app, app.state.changed(is_stage=is_stage))
            app._tick()
            app.seek_to(62.0)
            await until(pilot, lambda: app.state.timeline is not None and not app.state.timeline.is_seeking)
            app._tick()
            await pilot.pause()
            assert app.board.page == page


async def test_without_chapters_and_without_a_recording_the_keys_say_why(tmp_path: Path, walk: Path) -> None:
    file_of(walk).unlink()
    app = board(tmp_path, walk)
    async with app.run_test(size=(80, 24)) as pilot:
        await indexed(app, pilot)
        await pilot.press("N")
        assert "M makes one" in toasts(app)[-1]
    app = board_app(tmp_path / "data")
    async with app.run_test(size=(80, 24)) as pilot:
        for key in "NPMK":
            await pilot.press(key)
            await pilot.pause()
        assert not isinstance(app.screen, ChaptersScreen | ChapterSheet)
        assert len(toasts(app)) == 4


# The caption


CHAPTERS = Chapters((Chapter(10.0, "One", "Words."), Chapter(200.0, "Two")))


def caption_at(position_s: float, pace: float = 1.0) -> str:
    state = board_state(chapters=CHAPTERS, timeline=Timeline(position_s), status=replace(REPLAYING, pace=pace))
    found = caption_of(state)
    return found.title if found else ""


@pytest.mark.parametrize(
    ("position_s", "pace", "title"),
    [
        (9.9, 1.0, ""),
        (10.0, 1.0, "One"),
        (10.0 + SHOWN_S, 1.0, "One"),
        (10.1 + SHOWN_S, 1.0, ""),
        (10.1 + SHOWN_S, 2.0, "One"),
        (10.1 + SHOWN_S, 0.1, ""),
        (199.9, float("inf"), "One"),
        (200.0, 1.0, "Two"),
    ],
)
def test_a_caption_stays_its_time_or_until_the_next(position_s: float, pace: float, title: str) -> None:
    assert caption_at(position_s, pace) == title


def test_without_a_recording_there_is_no_caption() -> None:
    assert caption_of(board_state(chapters=CHAPTERS)) is None


def test_its_lines_are_whole_words_and_a_cut_is_marked() -> None:
    assert caption_lines("1/2 One", "Words that go on.", 12, 3) == ["1/2 One:", "Words that", "go on."]
    assert caption_lines("1/2 One", "Words that go on.", 12, 2) == ["1/2 One:", "Words that~"]
    assert caption_lines("1/2 One", "", 12, 3) == ["1/2 One"]


def test_hostile_words_stay_words() -> None:
    pane = CaptionLines()
    pane.set_reactive(
        CaptionLines.state,
        board_state(chapters=Chapters((Chapter(0.0, "[red]\x1b[2J", "\u202eesrever[/]"),)), timeline=Timeline(1.0)),
    )
    grid = Grid(60, 1)
    pane.paint(grid)
    assert grid.row_text(0, BRAILLE).strip() == "1/1 [red]?[2J: ?esrever[/]"


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40), (200, 60)])
async def test_on_the_board_it_takes_rows_only_while_it_speaks(
    tmp_path: Path, walk: Path, size: tuple[int, int]
) -> None:
    app = board(tmp_path, walk)
    async with app.run_test(size=size) as pilot:
        await indexed(app, pilot)
        assert not app.board.query_one(CaptionLines).region
        await go(app, pilot, "N")
        await pilot.pause()
        assert "1/3 Setting out: He leaves the gate." in screen_text(app)
        app.seek_to(170.0)
        await until(pilot, lambda: at_s(app) > 160 and not app.state.timeline.is_seeking)  # type: ignore[union-attr]  # at_s asks
        await pilot.pause()
        assert not app.board.query_one(CaptionLines).region


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
