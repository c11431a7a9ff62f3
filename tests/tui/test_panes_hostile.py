"""Names and messages from anywhere: whatever they hold, they stay text, in their own field."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from pathlib import Path

import pytest
from rich.cells import cell_len

from core.locations import Locations
from core.nmea.framing import Reason, Rejected
from core.sources.source import SourceState
from core.waypoints import Waypoints
from tests.tui.support import (
    ISLE,
    REPLAYING,
    Epoch,
    board_app,
    board_state,
    pane_rows,
    position_pane,
    screen_rows,
    show,
    toasts,
    walked,
)
from tui.panes.fix import FixPane
from tui.panes.goto import GoToPane
from tui.panes.source_line import SourceLine
from tui.panes.wire import WirePane
from tui.screens.board import PAGES
from tui.screens.places import PlacesScreen
from tui.state import BoardState

NASTY = {
    "clears the screen": "\x1b[2J\x1b[31mhere",
    "sets the title": "\x1b]0;owned\x07here",
    "C1 escape": "\x9b2Jhere",
    "reorders the line": "isle \u202e029.001",
    "right to left": "\u05d0\u05d1\u05d2 12",
    "wide": "\u4e16\u754c here",
    "combining": "Z\u0351\u036b\u0343\u036a\u0302\u036b\u033d here",
    "joined emoji": "\U0001f468\u200d\U0001f469\u200d\U0001f467 here",
    "Textual's markup": "[bold red]here[/]",
    "an open bracket": "[@click=app.quit]here",
    "lines": "one\ntwo\r\nthree\ttab",
    "NUL": "a\x00b",
    "long": "An isle whose name goes on " * 20,
    "lone surrogate": "a\udc80b",
}
each = pytest.mark.parametrize("name", NASTY.values(), ids=NASTY.keys())


def assert_harmless(rows: list[str], width: int) -> None:
    for row in rows:
        assert cell_len(row) <= width, row
        for char in row:
            assert unicodedata.category(char) not in {"Cc", "Cf", "Cs", "Mn", "Me"}, repr(char)
            assert unicodedata.bidirectional(char) not in {"R", "AL", "RLO", "RLE", "RLI"}, repr(char)


@each
def test_a_target_s_name(name: str) -> None:
    state = board_state(target=replace(ISLE, name=name))
    rows = pane_rows(GoToPane(), state)
    assert_harmless(rows, 37)
    assert rows[0] == " distance 1.56 km"


@each
def test_a_receiver_s_message(name: str) -> None:
    snapshot = replace(walked(2, Epoch(valid=False)), texts=(name,))
    rows = pane_rows(FixPane(), board_state(snapshot))
    assert_harmless(rows, 37)
    assert any(row.startswith(" receiver: ") for row in rows)


@each
def test_a_source_s_name_and_warning(name: str) -> None:
    status = replace(REPLAYING, name=name, warning=name, detail=name)
    (row,) = pane_rows(SourceLine(), board_state(status=status), (80, 1))
    assert_harmless([row], 80)
    assert row.startswith(" REPLAY ")
    assert "  playing  1x" in row
    assert row.endswith("0:01:15   25 %")


@each
def test_datum_station_and_contradictions(name: str) -> None:
    good = walked(4)
    fix = good.fix._replace(datum=name, correction_station=name, contradictions=(name, name))
    assert_harmless(pane_rows(FixPane(), board_state(replace(good, fix=fix)), (37, 20)), 37)


@each
def test_what_a_source_says_in_the_place_of_a_position(name: str) -> None:
    status = replace(REPLAYING, state=SourceState.FAILED, detail=name)
    rows = pane_rows(position_pane(), board_state(age_s=20.0, status=status))
    assert_harmless(rows, 37)
    assert rows[0] == " no position"


async def test_everything_nasty_at_once_on_every_page(tmp_path: Path) -> None:
    """Nothing leaves its field: rows keep the screen's width, banner and footer stay."""
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        for page in PAGES:
            app.action_page(page)
            for name in (*NASTY.values(), " ".join(NASTY.values())) if page == "board" else (NASTY["wide"],):
                show(app, nasty(name))
                app.board.query_one(WirePane).catch_up()
                await pilot.pause()
                rows = screen_rows(app)
                assert_harmless(rows, 120)
                assert {cell_len(row) for row in rows} == {120}
                assert rows[0].startswith(" REPLAY ")
                assert "F1 Help" in rows[-1]


def nasty(name: str) -> BoardState:
    good, refused = walked(), Rejected(Reason.BAD_CHECKSUM, name, name)
    fix = good.fix._replace(contradictions=(name,))
    snapshot = replace(good, texts=(name,), wire=(name, refused), fix=fix)
    return board_state(snapshot, target=replace(ISLE, name=name), status=replace(REPLAYING, name=name, detail=name))


async def test_in_the_list_of_targets(tmp_path: Path) -> None:
    path = Locations(tmp_path).waypoints
    for name in NASTY.values():
        Waypoints(path).add(replace(ISLE, name=name))
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, board_state())
        await pilot.press("t")
        await pilot.pause()
        assert_harmless(screen_rows(app), 80)
        assert isinstance(app.screen, PlacesScreen)
        assert len(app.screen.listed) == len(NASTY)
        await pilot.press("enter")
        await pilot.pause()
        assert app.state.target in app.session.waypoints
        assert_harmless(screen_rows(app), 80)


async def test_in_what_the_board_says(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        for name in NASTY.values():
            app._say(name[:80])
            await pilot.pause()
            assert_harmless(screen_rows(app), 80)
            assert_harmless([toasts(app)[-1]], 80)
            app.clear_notifications()
