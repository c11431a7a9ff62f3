"""What is done with a session of the logbook: played, named, deleted, asked, exported. All invented."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path

import gpxpy
import pytest
from textual.widgets import Input

from core.session_notes import SessionNotes, Words
from core.sources.source import SourceKind
from tests.logbooks import LATER, NOON, aged, latitude, record, walk
from tests.tui.logbook_support import STILL, WALK, chosen, files, much_later, opened, two_sessions, type_into
from tests.tui.support import board_app, screen_text, toasts, until
from tui.panes.session_form import SessionForm
from tui.screens.logbook import LogbookScreen
from tui.screens.pick import PickScreen
from tui.screens.where import WhereScreen

__all__ = ["much_later"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return two_sessions(tmp_path / "recordings")


# Replay


async def test_enter_plays_the_chosen_session(tmp_path: Path, folder: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        await pilot.press("down", "enter")
        await until(pilot, lambda: app.screen is app.board)
        assert app.state.status.kind is SourceKind.REPLAY
        assert app.state.status.name == str(folder / WALK) or WALK in app.state.status.name
        assert toasts(app)[-1].startswith(f"Playing {WALK}.")


async def test_a_session_of_several_files_is_played_to_its_end(tmp_path: Path) -> None:
    midnight = datetime(2031, 5, 5, tzinfo=NOON.tzinfo)
    began = midnight - timedelta(seconds=10)
    assert len(record(tmp_path / "recordings", began, walk(began, 20))) == 2
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        assert "in 2 files" in screen_text(app)
        await pilot.press("enter")
        await until(pilot, lambda: app.screen is app.board)
        await pilot.press(*["plus"] * 10)
        await until(pilot, lambda: app.state.snapshot.counts.epochs_with_fix == 20)


async def test_what_holds_nothing_is_not_played(tmp_path: Path, folder: Path) -> None:
    (folder / "empty.nmea").write_bytes(b"")
    aged(folder / "empty.nmea", LATER - timedelta(days=1))
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        assert chosen(app) == "empty.nmea"
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, LogbookScreen)
        assert toasts(app)[-1].startswith("There is nothing to play: it is empty")


# Name and note


async def test_name_and_note_are_kept_outside_the_recording(tmp_path: Path, folder: Path) -> None:
    content = (folder / STILL).read_bytes()
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await pilot.press("f2", *"Hut", "tab", *"no sky", "enter")
        await pilot.pause()
        assert not app.screen.query_one(SessionForm).is_open
        assert SessionNotes(folder).all() == {STILL: Words("Hut", "no sky")}
        assert (folder / STILL).read_bytes() == content
        assert toasts(app)[-1] == "Saved: Hut."
        assert "Hut" in screen_text(app)
        await pilot.press("x")  # the keys are the list's again
        assert app.screen.query_one("#find", Input).value == "x"


async def test_escape_leaves_words_as_they_are_and_a_note_of_lines_stays_one(tmp_path: Path, folder: Path) -> None:
    SessionNotes(folder).write(STILL, Words("Hut", "two\nlines"), LATER)
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await pilot.press("f2", "X", "f8", "escape")
        await pilot.pause()
        assert SessionNotes(folder).all() == {STILL: Words("Hut", "two\nlines")}
        assert files(folder) == [WALK, STILL]  # F8 was the form's, not the list's
        await pilot.press("f2", "end", "2", "enter")
        await pilot.pause()
        assert SessionNotes(folder).all() == {STILL: Words("Hut2", "two\nlines")}


async def test_a_damaged_file_of_names_is_set_aside_and_said(tmp_path: Path, folder: Path) -> None:
    (folder / "logbook.json").write_text("{")
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        assert any("logbook.json is damaged" in toast for toast in toasts(app))
        await pilot.press("f2", *"Hut", "enter")
        await pilot.pause()
        assert list(json.loads((folder / "logbook.json").read_text())) == [STILL]
        assert [path.read_text() for path in folder.glob("logbook.2031*.json")] == ["{"]


# Delete, undo, empty


async def test_deleted_and_brought_back_also_in_another_run(tmp_path: Path, folder: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        await pilot.press("f8")
        await pilot.pause()
        assert files(folder) == [WALK]
        assert "1 of 1" in screen_text(app)
        assert "(1: F9 undoes, F6 removes)" in screen_text(app)
    again = board_app(tmp_path)
    async with again.run_test(size=(120, 40)) as pilot:
        await opened(again, pilot)
        await pilot.press("f9")
        await pilot.pause()
        assert files(folder) == [WALK, STILL]
        assert chosen(again) == STILL
        assert toasts(again)[-1] == "It is back."


async def test_once_the_last_is_deleted_it_says_how_to_get_it_back(tmp_path: Path, folder: Path) -> None:
    left, none_yet = "No session is left: F9 brings back the one that was deleted last.", "No session yet"
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        await pilot.press("f8", "f8")
        await pilot.pause()
        assert files(folder) == []
        assert left in screen_text(app)
        await pilot.press("escape", "L")
        await until(pilot, lambda: isinstance(app.screen, LogbookScreen))
        await pilot.pause()
        assert left in screen_text(app)
        await pilot.press("f6", "down", "enter")
        await pilot.pause()
        assert none_yet in screen_text(app)


async def test_what_is_being_recorded_cannot_be_deleted(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    aged(folder / STILL, LATER - timedelta(seconds=10))
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        assert "rec: base" in screen_text(app)
        assert "being recorded" in screen_text(app)
        await pilot.press("f8")
        await pilot.pause()
        assert files(folder) == [WALK, STILL]
        assert "is being recorded" in toasts(app)[-1]


async def test_the_deleted_are_removed_for_good_only_after_a_question(tmp_path: Path, folder: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        await pilot.press("f8", "f6")
        await pilot.pause()
        assert isinstance(app.screen, PickScreen)
        await pilot.press("enter")  # keep them, the first of the choices
        await pilot.pause()
        await pilot.press("f9")
        await pilot.pause()
        assert files(folder) == [WALK, STILL]
        await pilot.press("f8", "f6", "down", "enter")
        await pilot.pause()
        assert toasts(app)[-1].startswith("Removed for good")
        await pilot.press("f9")
        await pilot.pause()
        assert files(folder) == [WALK]


# Where was I?


async def test_where_was_i_answers_for_the_contact_log_and_copies(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert folder.exists()
    copied: list[str] = []
    app = board_app(tmp_path)
    monkeypatch.setattr(app, "copy_to_clipboard", copied.append)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        await pilot.press("down", "f4")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, WhereScreen)
        await type_into(app, pilot, "#times", "12:00:30, 15:10")
        await until(pilot, lambda: len(screen.lines) == 2)
        assert screen.lines[0].startswith(f"2031-05-04T12:00:30Z  {latitude(30):.5f} -20.25000  HK90vm")
        assert "no position: after this session" in screen.lines[1]
        await pilot.pause()
        assert f"{latitude(30):.5f} -20.25000" in screen_text(app)
        await pilot.press("f5")
        assert copied == ["\n".join(screen.lines)]
        await type_into(app, pilot, "#times", "noon [b]")
        assert "is no time" in screen.lines[0]
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, LogbookScreen)


async def test_a_time_with_a_date_is_looked_up_in_the_session_that_holds_it(tmp_path: Path, folder: Path) -> None:
    assert folder.exists()
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await pilot.press("f4")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, WhereScreen)
        await type_into(app, pilot, "#times", "2031-05-04 12:00:30 local")
        await until(pilot, lambda: "HK90vm" in "".join(screen.lines))
        await pilot.pause()
        assert WALK in screen_text(app)
        await type_into(app, pilot, "#times", "14:00:05")
        await until(pilot, lambda: "no fix in this session" in "".join(screen.lines))


# Export


async def test_a_session_is_exported_and_nothing_is_written_over(tmp_path: Path, folder: Path) -> None:
    """Read back by gpxpy."""
    assert folder.exists()
    out = tmp_path / "walk.gpx"
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        await pilot.press("down", "f7", "enter")
        await pilot.pause()
        await type_into(app, pilot, "#typed", str(out))
        await until(pilot, out.exists)
        await until(pilot, lambda: toasts(app)[-1].startswith("Exported to"))
        (track,) = gpxpy.parse(out.read_text("utf-8")).tracks
        points = [point for segment in track.segments for point in segment.points]
        assert len(points) == 60
        assert points[30].latitude == pytest.approx(latitude(30), abs=1e-7)
        await pilot.press("f7", "enter")
        await pilot.pause()
        await type_into(app, pilot, "#typed", str(out))
        assert "exists already" in toasts(app)[-1]


async def test_what_cannot_be_exported_says_why(tmp_path: Path, folder: Path) -> None:
    assert folder.exists()
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        await pilot.press("f7", "down", "enter")
        await pilot.pause()
        await type_into(app, pilot, "#typed", str(tmp_path / "still.kml"))
        await until(pilot, lambda: "nothing to export" in toasts(app)[-1])
        assert not (tmp_path / "still.kml").exists()
