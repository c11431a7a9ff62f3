"""Chapters on the board, by their keys: going from one to the next, scenes, captions. All invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import Input

from core.chapters import Chapter, Chapters
from core.timeline import Timeline
from tests.tui.chapters_support import THREE, at_s, board, file_of, go, indexed, walk_in
from tests.tui.support import REPLAYING, board_app, board_state, screen_text, show, toasts, until
from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Grid
from tui.opening import Opening
from tui.panes.caption import SHOWN_S, CaptionLines, caption_lines, caption_of
from tui.screens.chapter_sheet import ChapterSheet
from tui.screens.chapters import ChaptersScreen


@pytest.fixture
def walk(tmp_path: Path) -> Path:
    return walk_in(tmp_path / "walks")


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
