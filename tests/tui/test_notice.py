"""The cautions, once: before the first board that is no demo, over it, closed by a key, and then remembered."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from textual.containers import VerticalScroll

from core.memory import Memory, recall, remember
from core.sources.source import SourceState
from tests.live.board import BURSTS, OnStrings, Strings
from tests.tui.support import ScriptedOpening, ScriptedSource, board_app, screen_rows, screen_text, toasts, until
from tui.app import FixboardApp
from tui.canvas.palettes import Depth
from tui.commands import CAUTIONS
from tui.offers import DEMO
from tui.opening import Opening
from tui.own_keys import with_keys
from tui.screens.help import HelpScreen
from tui.screens.notice import END, TITLE, NoticeScreen
from tui.session import EDITION, Look, Session

DEMO_FILE = Path(__file__).parents[2] / "replays" / "first_walk.nmea.gz"
SIZES = [(30, 8), (40, 10), (60, 20), (80, 24), (120, 40), (200, 50)]


def first_board(folder: Path, opening: object | None = None) -> FixboardApp:
    """A board as the command line opens it for somebody who has never had one."""
    app = board_app(folder, opening or ScriptedOpening(ScriptedSource(())))  # type: ignore[arg-type]  # an Openable
    app.owes_notice = app.session.owes_notice
    return app


async def noticed(app: FixboardApp, pilot: object) -> None:
    await until(pilot, lambda: isinstance(app.screen, NoticeScreen))  # type: ignore[arg-type]  # a Pilot
    await pilot.pause()  # type: ignore[attr-defined]


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_each_caution_can_be_read_at_every_size_and_the_way_out_at_once(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    app = first_board(tmp_path)
    async with app.run_test(size=size) as pilot:
        await noticed(app, pilot)
        assert "Enter or Esc" in " ".join(screen_text(app).split())
        seen = set(words_shown(app))
        await pilot.press("down")
        sheet = app.screen.query_one(VerticalScroll)
        assert app.screen.focused is sheet  # so that arrows scroll
        for y in range(0, sheet.max_scroll_y + 4, 4):
            sheet.scroll_to(y=y, animate=False)
            await pilot.pause()
            seen |= set(words_shown(app))
        wanted = {word for text in (TITLE, *CAUTIONS, with_keys(END)) for word in text.split()}
        assert sorted(wanted - seen) == []


def words_shown(app: FixboardApp) -> list[str]:
    """Within the frame of the sheet, where it has one, and without its scroll bar."""
    rows = (re.sub("[▁-█]", " ", row) for row in screen_rows(app))
    return [word for row in rows for word in (row.split("│") * 2)[row.count("│") > 1].split()]


async def test_the_whole_of_it_stands_on_80_by_24(tmp_path: Path) -> None:
    app = first_board(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await noticed(app, pilot)
        text = " ".join(words_shown(app))
        assert all(caution in text for caution in CAUTIONS)
        assert with_keys(END) in text


@pytest.mark.parametrize("key", ["enter", "escape"])
async def test_enter_or_esc_closes_it_and_it_is_remembered(tmp_path: Path, key: str) -> None:
    app = first_board(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await noticed(app, pilot)
        await pilot.press(key)
        await pilot.pause()
        assert app.screen is app.board
    assert recall(tmp_path / "board.toml").notice == EDITION
    assert not Session(app.session._places, Look()).owes_notice


async def test_q_leaves_the_program_and_next_time_it_is_shown_again(tmp_path: Path) -> None:
    app = first_board(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await noticed(app, pilot)
        await pilot.press("q")
        await pilot.pause()
    assert app.return_code == 0
    assert Session(app.session._places, Look()).owes_notice


async def test_who_has_read_it_is_not_shown_it_but_a_new_edition_is(tmp_path: Path) -> None:
    for edition, owed in ((EDITION, False), ("0", True)):
        remember(tmp_path / "board.toml", Memory(notice=edition))
        app = first_board(tmp_path)
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, lambda app=app: app._is_ready)  # type: ignore[misc]  # one app a turn
            await pilot.pause()
            assert isinstance(app.screen, NoticeScreen) is owed


async def test_a_demo_does_not_show_it_and_what_is_opened_from_it_does(tmp_path: Path) -> None:
    app = first_board(tmp_path, Opening(DEMO_FILE, remark=DEMO))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app._is_ready)
        await pilot.pause()
        assert app.screen is app.board
        app.open(ScriptedOpening(ScriptedSource(())))
        await noticed(app, pilot)
        await pilot.press("enter")
        app.open(ScriptedOpening(ScriptedSource(())))
        await pilot.pause()
        assert app.screen is app.board


async def test_where_it_cannot_be_remembered_that_is_said_and_it_comes_once_a_run(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    app = first_board(tmp_path / "file" / "below")
    async with app.run_test(size=(80, 24)) as pilot:
        await noticed(app, pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert toasts(app)
        app.open(ScriptedOpening(ScriptedSource(())))
        await pilot.pause()
        assert app.screen is app.board


async def test_beneath_it_the_receiver_is_read_and_recorded(tmp_path: Path) -> None:
    strings = Strings()
    app = FixboardApp(
        Session(board_app(tmp_path).session._places, Look(), record=True),
        (OnStrings(strings=strings),),
        Depth.TRUECOLOR,
    )
    app.owes_notice = True
    async with app.run_test(size=(120, 40)) as pilot:
        await noticed(app, pilot)
        strings.send(*BURSTS[:5])
        await until(pilot, lambda: app.state.snapshot.counts.epochs_with_fix >= 3)
        assert isinstance(app.screen, NoticeScreen)
        assert app.state.status.state is SourceState.RECEIVING
        await until(pilot, lambda: any(path.stat().st_size for path in (tmp_path / "recordings").glob("*.nmea*")))


async def test_boards_of_tests_do_not_show_it_unless_asked(tmp_path: Path) -> None:
    app = board_app(tmp_path, ScriptedOpening(ScriptedSource(())))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app._is_ready)
        await pilot.pause()
        assert app.screen is app.board


async def test_help_has_it_always(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f1")
        await until(pilot, lambda: all(caution in " ".join(words_shown(app)) for caution in CAUTIONS))
        assert isinstance(app.screen, HelpScreen)
