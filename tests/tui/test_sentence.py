"""The wire held, a sentence chosen and opened field by field; the same in the shell."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.nmea.framing import Rejected
from tests.build import lines, sentence
from tests.tui.support import board_app, board_state, judging_model, screen_text, show, toasts, walked
from tui.app import FixboardApp
from tui.cli import main
from tui.panes.wire import WirePane
from tui.screens.sentence import SentenceScreen

GGA = "GNGGA,120000.00,1030.0000,N,02015.0000,W,1,09,0.9,12.5,M,30.0,M,1.5,0123"
BODIES = (GGA, "GPGSV,1,1,02,05,45,090,41,07,30,180,38", "PQTMXYZ,1,,3")


@asynccontextmanager
async def wire_page(folder: Path, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[FixboardApp, Pilot[None]]]:
    """A GGA, a GSV, a maker's own, a refused one: the newest."""
    model = judging_model()
    model.feed(lines(*BODIES) + b"$GPHDT,123.4,T*00\r\n", 100.0)
    app = board_app(folder)
    async with app.run_test(size=size) as pilot:
        show(app, board_state(model.snapshot()))
        await pilot.press("6")
        await pilot.pause()
        yield app, pilot


async def test_up_and_down_choose_a_sentence_of_the_held_wire_and_stop_at_its_ends(tmp_path: Path) -> None:
    async with wire_page(tmp_path) as (app, pilot):
        await pilot.press("w")
        assert (app.state.wire_at, len(app.state.wire_held)) == (3, 4)
        for keys, at in ((["down"], 3), (["up"], 2), (["up"] * 9, 0), (["pagedown"], 3), (["pageup"], 0)):
            await pilot.press(*keys)
            assert app.state.wire_at == at
        await pilot.pause()
        assert f"> {sentence(GGA)}"[:60] in screen_text(app)


async def test_the_held_wire_stays_while_others_come(tmp_path: Path) -> None:
    async with wire_page(tmp_path) as (app, pilot):
        await pilot.press("w", "up")
        show(app, app.state.changed(snapshot=walked(9)))
        app.board.query_one(WirePane).catch_up()
        await pilot.pause()
        assert "PQTMX" in screen_text(app)
        assert "GNRMC" not in screen_text(app)
        await pilot.press("w")
        assert (app.state.wire_held, app.state.wire_at) == ((), 0)


async def test_choosing_without_holding_says_what_to_do(tmp_path: Path) -> None:
    async with wire_page(tmp_path) as (app, pilot):
        await pilot.press("up")
        assert any("w holds the sentences still" in said for said in toasts(app))
        assert not app.state.wire_paused


async def test_h_holds_and_takes_the_newest_then_left_and_right_turn(tmp_path: Path) -> None:
    async with wire_page(tmp_path) as (app, pilot):
        await pilot.press("H")
        await pilot.pause()
        assert isinstance(app.screen, SentenceScreen)
        assert app.state.wire_paused
        assert "Refused, bad checksum." in screen_text(app)
        assert "Checksum says 00, the bytes make" in screen_text(app)
        await pilot.press("right", "left")
        await pilot.pause()
        assert "code QTM" in screen_text(app)
        await pilot.press("left")
        await pilot.pause()
        assert "G05" in screen_text(app)
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen_stack[-1] is app.board
        assert app.state.wire_at == 1


async def test_an_empty_wire_cannot_be_opened(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("6", "H")
        await pilot.pause()
        assert app.screen_stack[-1] is app.board
        assert not app.state.wire_paused


async def test_a_gga_is_whole_at_80_by_24(tmp_path: Path) -> None:
    async with wire_page(tmp_path) as (app, pilot):
        await pilot.press("w", "pageup", "H")
        await pilot.pause()
        text = screen_text(app)
        for number, words in (
            (1, "12:00:00.00 UTC"),
            (2, "10 + 30.0000 / 60"),
            (4, "-(20 + 15.0000 / 60)"),
            (14, "0123"),
        ):
            assert f"{number:>3} " in text
            assert words in text
        assert "more rows" not in text
        assert "exclusive or" in text


async def test_a_long_sentence_is_scrolled_to_its_last_field(tmp_path: Path) -> None:
    async with wire_page(tmp_path, (80, 14)) as (app, pilot):
        await pilot.press("w", "pageup", "H")
        await pilot.pause()
        assert "more rows" in screen_text(app)
        assert "0123  " not in screen_text(app)
        await pilot.press("pagedown", "pagedown", "down")
        await pilot.pause()
        assert "correction station" in screen_text(app)
        assert "more rows" not in screen_text(app)


async def test_a_hostile_sentence_is_shown_escaped(tmp_path: Path) -> None:
    async with wire_page(tmp_path) as (app, pilot):
        bad = judging_model()
        bad.feed(b"$GPTXT,01,01,02,\x1b[2J[red]\xe9*00\r\n", 1.0)
        assert isinstance(bad.snapshot().wire[0], Rejected)
        show(app, board_state(bad.snapshot()))
        await pilot.press("H")
        await pilot.pause()
        assert r"\x1b[2J[red]\xe9" in screen_text(app)
        assert "Refused, illegal character." in screen_text(app)


# In the shell


def test_the_shell_explains_in_words_and_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", sentence(GGA)]) == 0
    told = capsys.readouterr().out
    assert "10 + 30.0000 / 60" in told
    assert main(["explain", "--json", sentence(GGA)]) == 0
    (one,) = json.loads(capsys.readouterr().out)["sentences"]
    assert (one["accepted"], one["reason"], one["fields"][1]["value"]) == (True, None, 10.5)
    assert one["checksum"]["made"] == one["checksum"]["stated"] == sentence(GGA)[-2:]


def test_the_shell_explains_a_refused_one_and_complains_of_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "$GPHDT,1,T*00"]) == 0
    assert "refused: bad checksum" in capsys.readouterr().out
    assert main(["explain", "GPHDT,1,T*00"]) == 1
    assert "single quotes" in capsys.readouterr().err
