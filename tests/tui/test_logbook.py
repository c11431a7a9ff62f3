"""The list of the logbook, by its keys. Sessions are made by the recorder; names and places are invented."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path

import pytest
from textual.widgets import Input
from textual.widgets._footer import FooterKey

from core.session_notes import SessionNotes, Words
from core.sessions import Logbook
from tests.logbooks import LATER, NOON, aged, epoch, walk
from tests.tui.logbook_support import STILL, WALK, chosen, files, much_later, opened, two_sessions
from tests.tui.support import board_app, screen_rows, screen_text, toasts, until
from tui.commands import LOG_COMMANDS
from tui.panes.session_details import SessionDetailsPane
from tui.panes.session_list import SessionListPane
from tui.screens.logbook import LogbookScreen

__all__ = ["much_later"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return two_sessions(tmp_path / "recordings")


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


@pytest.mark.parametrize("size", [(80, 24), (160, 50)])
async def test_the_line_to_find_in_begins_where_all_else_does(
    tmp_path: Path, folder: Path, size: tuple[int, int]
) -> None:
    assert folder.exists()
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        await opened(app, pilot)
        row = next(row for row in screen_rows(app) if "type to find" in row)
        assert row.index("type to find") == 1


async def test_list_and_details_call_the_distance_alike(tmp_path: Path, folder: Path) -> None:
    assert folder.exists()
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        text = screen_text(app)
        assert text.count("distance") == 2
        assert not re.search(r"\bway\b", text)


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
