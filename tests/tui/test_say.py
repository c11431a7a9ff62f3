"""Giving the position from the board: script, audience, read-back, heard position, blur, home."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import Input

from core.blur import Home
from core.sources.source import SourceKind
from tests.tui.support import (
    HERE,
    REPLAYING,
    SETTLED,
    Epoch,
    board_app,
    board_state,
    screen_rows,
    screen_text,
    show,
    toasts,
    walked,
)
from tui.actions.saying import situation_of
from tui.app import FixboardApp
from tui.panes.say import SayPane
from tui.screens.say import SayScreen


def typed(app: FixboardApp) -> Input:
    return app.screen.query_one("#say-typed", Input)


def said(app: FixboardApp) -> str:
    return str(app.screen.query_one("#say-lines").render())


def report_text(app: FixboardApp) -> str:
    assert isinstance(app.screen, SayScreen)
    return app.screen.report.forms[0].written


async def test_without_a_position_the_key_says_so(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("G")
        assert any("No position yet" in toast for toast in toasts(app))
        assert not isinstance(app.screen, SayScreen)


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 40), (200, 60)], ids=str)
@pytest.mark.parametrize("glyphs", ["braille", "plain"])
async def test_the_letters_take_no_row_that_they_leave_blank(
    tmp_path: Path, size: tuple[int, int], glyphs: str
) -> None:
    """What is said besides begins right below, for each audience."""
    app = board_app(tmp_path, glyphs=glyphs)
    async with app.run_test(size=size) as pilot:
        show(app, SETTLED)
        await pilot.press("G")
        for _ in range(3):
            await pilot.press("right")
            await pilot.pause()
            pane = app.screen.query_one(SayPane)
            rows = screen_rows(app)
            assert pane.region.height > 1
            assert rows[pane.region.bottom - 1].strip()
            assert isinstance(app.screen, SayScreen)
            last = app.screen.report.forms[0].sentences[-1].split()[-1]
            assert last in rows[pane.region.bottom - 1]


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
@pytest.mark.parametrize("glyphs", ["braille", "plain"])
async def test_script_caution_and_source_are_on_one_screen(tmp_path: Path, size: tuple[int, int], glyphs: str) -> None:
    app = board_app(tmp_path, glyphs=glyphs)
    async with app.run_test(size=size) as pilot:
        show(app, SETTLED)
        await pilot.press("G")
        await pilot.pause()
        text = screen_text(app)
        for words in (
            *("REPLAY", "firm", "phone the local emergency number first", "Land: by grid reference"),
            *("square Whiskey Mike", "easting eight two zero seven", "northing six zero seven nine", "Esc back"),
            *("As a check, in degrees and minutes: 10° 30.000' N", "not where anybody is now"),
        ):
            assert words in text, words
        await pilot.press("escape")
        assert app.screen is app.board


async def test_left_and_right_change_who_listens_until_something_is_typed(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("G", "right")
        await pilot.pause()
        assert "latitude WUN ZEERO degrees, TREE ZEERO decimal" in screen_text(app)
        assert report_text(app) == "10° 30.000' N  020° 15.000' W"
        await pilot.press("right")
        assert report_text(app) == "10° 30.000' N  20° 15.000' W"
        await pilot.press("right")
        assert report_text(app) == "27P WM 8207 6079"
        await pilot.press("left", "1", "0", "left", "9")
        assert typed(app).value == "190"
        assert report_text(app) == "10° 30.000' N  20° 15.000' W"


async def test_a_read_back_is_checked_and_the_position_stands_still_meanwhile(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("G", "right")
        show(app, board_state(walked(3, Epoch(place="1031.0000,N,02015.0000,W"))))
        typed(app).value = "one zero, thirty decimal 000 north, 20 50.000 west"
        await pilot.press("enter")
        await pilot.pause()
        assert "Wrong: minutes of longitude, 1st place: 1 became 5." in said(app)
        assert "63.86 km off" in said(app)
        typed(app).value = "10 30.000 N 20 15.000 W"
        await pilot.press("enter")
        assert "Right: all of it was read back" in said(app)
        typed(app).value = "[bold]hello"
        await pilot.press("enter")
        assert "type what was read back" in said(app)
        await pilot.press("f2")
        assert report_text(app) == "10° 31.000' N  020° 15.000' W"


async def test_a_heard_position_is_resolved_from_here(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("G", "f3")
        assert "heard" in typed(app).placeholder
        typed(app).value = "10 50.00 N 20 25.00 W"
        await pilot.press("enter")
        await pilot.pause()
        first = said(app).splitlines()[1:3]
        assert "10° 30.000' N  020° 15.000' W" in first[0]
        assert "decimal degrees, taken for minutes" in first[1]
        typed(app).value = "hello"
        await pilot.press("enter")
        assert "nothing in this can be a position" in said(app)
        await pilot.press("f3")
        assert "read back" in typed(app).placeholder


async def test_near_home_the_screen_and_the_copy_warn_until_it_is_blurred(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    app.session.settings = replace(app.session.settings, home=Home(HERE, 500.0))
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("G")
        await pilot.pause()
        assert "Home: this position lies within 500 m of it" in said(app)
        await pilot.press("f5")
        assert toasts(app)[-1].startswith("Home:")
        await pilot.press("f4", "f4")
        assert report_text(app) == "27P WM 82 60"
        assert "within 500 m" not in said(app)
        await pilot.press("f5")
        assert toasts(app)[-1] == "Copied: the script."
        await pilot.press("f4")
        assert report_text(app) == "HK90"
        await pilot.press("f4")
        assert report_text(app) == "27P WM 8207 6079"


async def test_f2_without_a_position_keeps_the_one_that_was_given(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("G")
        show(app, board_state(age_s=100_000.0))
        await pilot.press("f2")
        assert "this one stays" in toasts(app)[-1]
        assert report_text(app) == "27P WM 8207 6079"


def test_what_is_reported_is_what_is_known() -> None:
    now = situation_of(SETTLED)
    assert now is not None
    assert now.position == pytest.approx(HERE)
    assert now.utc is not None
    assert now.utc.clock() == "12:00:11"
    assert (now.age_s, now.doubt) == (0.0, "")
    assert now.error_m == pytest.approx(6.9, abs=0.4)
    assert situation_of(board_state(age_s=100_000.0)) is None


def test_an_old_or_lost_position_is_said_to_be_doubtful_and_its_error_unknown() -> None:
    old = situation_of(board_state(walked(12), age_s=8.0))
    assert old is not None
    assert old.error_m is None
    assert old.age_s == pytest.approx(8.0)
    assert old.doubt


@pytest.mark.parametrize(
    ("kind", "origin"),
    [
        (SourceKind.LIVE, ""),
        (SourceKind.REPLAY, "from a recording"),
        (SourceKind.REHEARSAL, "simulated"),
        (SourceKind.HELD, "a saved place"),
        (SourceKind.TRACK, "somebody's track"),
    ],
)
def test_where_it_comes_from_is_said(kind: SourceKind, origin: str) -> None:
    found = situation_of(board_state(walked(12), status=replace(REPLAYING, kind=kind)))
    assert found is not None
    assert (origin in found.origin) if origin else found.origin == ""


def test_a_simulated_receiver_says_so_though_it_is_live() -> None:
    live = replace(REPLAYING, kind=SourceKind.LIVE)
    found = situation_of(board_state(walked(4, Epoch(mode="S", quality="8")), status=live))
    assert found is not None
    assert "simulated" in found.origin
