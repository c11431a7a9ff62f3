"""The logbook on the screen, by its keys. Sessions are made by the recorder; names and places are invented."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import gpxpy
import pytest
from textual.pilot import Pilot
from textual.widgets import Input
from textual.widgets._footer import FooterKey

from core.session_notes import SessionNotes, Words
from core.sessions import Logbook
from core.sources.source import SourceKind
from tests.logbooks import LATER, NOON, aged, epoch, latitude, record, walk
from tests.tui.support import board_app, screen_rows, screen_text, toasts, until
from tui.app import FixboardApp
from tui.commands import LOG_COMMANDS
from tui.panes.session_details import SessionDetailsPane
from tui.panes.session_form import SessionForm
from tui.panes.session_list import SessionListPane
from tui.screens.logbook import LogbookScreen
from tui.screens.pick import PickScreen
from tui.screens.where import WhereScreen

WALK = "2031-05-04_120000_gps.nmea"
STILL = "2031-05-04_140000_base.nmea"


@pytest.fixture(autouse=True)
def much_later(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The actions' clock: after all that was recorded."""
    monkeypatch.setattr("tui.actions.logbook._now", lambda: LATER)
    yield


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """With a walk of a minute at noon, and two hours later, by another receiver, a session without any fix."""
    found = tmp_path / "recordings"
    record(found, NOON, walk(NOON, 60))
    record(found, NOON + timedelta(hours=2), walk(NOON + timedelta(hours=2), 20, gap=(0, 20)), label="base")
    return found


async def opened(app: FixboardApp, pilot: Pilot[None]) -> LogbookScreen:
    """With all that is known of its sessions."""
    await pilot.press("L")
    await until(pilot, lambda: isinstance(app.screen, LogbookScreen) and app.screen.is_mounted)
    screen = app.screen
    assert isinstance(screen, LogbookScreen)
    await until(pilot, lambda: all(entry.summary for entry in screen.entries))
    await pilot.pause()
    return screen


def chosen(app: FixboardApp) -> str:
    entry = app.screen.query_one(SessionListPane).chosen
    assert entry is not None
    return entry.session.key


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("*.nmea"))


async def type_into(app: FixboardApp, pilot: Pilot[None], box: str, text: str) -> None:
    app.screen.query_one(box, Input).value = text
    await pilot.press("enter")
    await pilot.pause()


# The list


async def test_sessions_are_listed_newest_first_with_what_they_hold(tmp_path: Path, folder: Path) -> None:
    assert folder.exists()
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        text = screen_text(app)
        assert "2 of 2, by newest" in text
        assert "being read" not in text
        rows = screen_rows(app)
        still = next(row for row in rows if "2031-05-04 14:00  base" in row)
        walked = next(row for row in rows if "2031-05-04 12:00  gps" in row)
        assert rows.index(still) < rows.index(walked)
        assert "0:00:59" in walked
        assert "HK90vm" in walked
        assert "in sessions" in text
        assert "no fix at all" in text  # of the chosen one, in the details
        await pilot.press("down")
        assert chosen(app) == WALK
        assert "60 with a fix" in screen_text(app)


async def test_what_is_not_known_yet_shows_dots_and_fills_in(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert folder.exists()
    app = board_app(tmp_path)
    monkeypatch.setattr(app, "_read_missing", lambda _: None)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("L")
        await until(pilot, lambda: isinstance(app.screen, LogbookScreen))
        await pilot.pause()
        assert "..." in screen_text(app)
        assert "2 being read" in screen_text(app)
        monkeypatch.undo()
        screen = app.screen
        assert isinstance(screen, LogbookScreen)
        app._read_missing(screen.entries)
        await until(pilot, lambda: all(entry.summary for entry in screen.entries))
        await pilot.pause()
        assert "being read" not in screen_text(app)
        assert "HK90vm" in screen_text(app)


async def test_what_the_thread_finds_before_there_is_a_list_is_kept_for_it(tmp_path: Path, folder: Path) -> None:
    book = Logbook(folder)
    entries = book.entries(LATER)
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = LogbookScreen(app.board, entries, "")
        screen.take([book.summarised(entry) for entry in entries])
        app.push_screen(screen)
        await pilot.pause()
        assert "HK90vm" in screen_text(app)
        assert "being read" not in screen_text(app)


async def test_leaving_while_sessions_are_read_ends_the_reading(tmp_path: Path) -> None:
    """And what had been read by then is known the next time. Twelve sessions of half an hour."""
    for n in range(12):
        moment = NOON + timedelta(hours=n)
        path = tmp_path / "recordings" / f"{moment:%Y-%m-%d_%H%M%S}_gps.nmea"
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"".join(data for _, data in walk(moment, 1800)))
        aged(path, moment)
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("L")
        screen = app.screen
        assert isinstance(screen, LogbookScreen)
        await until(pilot, lambda: any(entry.summary for entry in screen.entries))
        app.screen.dismiss(None)
        await until(pilot, lambda: not any(worker.is_running for worker in app.workers))
        known = [entry.summary is not None for entry in Logbook(tmp_path / "recordings").entries(LATER)]
        assert known[-1]
        assert not all(known)


async def test_words_find_sessions_and_sorting_keeps_the_chosen_one(tmp_path: Path, folder: Path) -> None:
    SessionNotes(folder).write(STILL, Words("Aerial test", "fog until noon"), LATER)
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        await pilot.press("down")
        assert chosen(app) == WALK
        orders = []
        for _ in range(4):
            await pilot.press("f3")
            await pilot.pause()
            assert chosen(app) == WALK
            text = screen_text(app)
            orders.append((text.split("2 of 2, by ")[1].split()[0], text.index("Aerial") < text.index("12:00  gps")))
        assert orders == [("name", True), ("way", False), ("size", False), ("newest", True)]
        for typed in ("fog", "AERIAL test", "base"):
            app.screen.query_one("#find", Input).value = typed
            await pilot.pause()
            assert chosen(app) == STILL
            assert "1 of 2" in screen_text(app)
        app.screen.query_one("#find", Input).value = "hk90"
        await pilot.pause()
        assert chosen(app) == WALK
        app.screen.query_one("#find", Input).value = "nothing like it"
        await pilot.pause()
        assert "None matches" in screen_text(app)
        await pilot.press("enter", "f2", "f4", "f7", "f8")  # there is no session to do it with
        assert isinstance(app.screen, LogbookScreen)
        assert files(folder) == [WALK, STILL]


async def test_an_empty_logbook_says_how_to_fill_it(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        assert "No session yet: r on the board records" in screen_text(app)
        await pilot.press("f9")
        await pilot.pause()
        assert toasts(app)[-1] == "No deleted session is kept."
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is app.board


async def test_all_keys_stand_in_a_footer_of_eighty_columns(tmp_path: Path, folder: Path) -> None:
    assert folder.exists()
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        wanted = [command.label for command in LOG_COMMANDS if command.footer and command.key != "enter"]
        assert [key.description for key in app.screen.query(FooterKey)] == [*wanted, "Help"]
        assert [label for label in wanted if label not in screen_rows(app)[-1]] == []


async def test_hostile_names_notes_and_files_stay_in_their_row(tmp_path: Path, folder: Path) -> None:
    SessionNotes(folder).write(
        WALK, Words("\x1b[31mred [b]bold[/b] \u202eback", "two\nlines\x07" + "x" * 10_000), LATER
    )
    bad = folder / "\x1b]0;x\x07[red]\u202e\n.nmea"
    bad.write_bytes(b"")
    aged(bad, NOON)
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        texts = []
        for _ in range(3):
            await pilot.press("down")
            texts.append(screen_text(app))
        assert not set("\x1b\x07\u202e") & set("".join(texts))
        assert "[b]bold[/b]" in "".join(texts)
        assert "two lines?xxx" in "".join(texts)
        assert "bad: " in texts[-1]
        assert len(screen_rows(app)) == 40


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


async def test_hundreds_are_scrolled_with_the_cursor_in_sight(tmp_path: Path) -> None:
    folder = tmp_path / "recordings"
    folder.mkdir()
    for n in range(200):
        moment = NOON + timedelta(hours=n)
        path = folder / f"{moment:%Y-%m-%d_%H%M%S}_gps.nmea"
        path.write_bytes(epoch(moment))
        aged(path, moment)
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = await opened(app, pilot)
        assert "200 of 200" in screen_text(app)
        for _ in range(3):
            await pilot.press("pagedown")
        entry = screen.query_one(SessionListPane).chosen
        assert entry is not None
        assert any(row.startswith(f"> {entry.session.began:%Y-%m-%d %H:%M}") for row in screen_rows(app))
        assert entry.number < 120
        assert screen.query_one(SessionDetailsPane)._entry == entry
