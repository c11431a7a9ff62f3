"""Position texts written by themselves at an interval: of what, to where, and when they wait or end."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from core.aprs.sendable import Whence, why_not_sent
from core.fix import FixMode
from core.sources.source import SourceKind
from core.trust import Verdict
from tests.tui.qr_support import HELD, LIVE, app_with, opened, typed
from tests.tui.support import board_state, drawn, rows_of, screen_text, show, toasts, until, walked
from tui.app import FixboardApp
from tui.panes.source_line import SourceLine
from tui.screens.prompt import PromptScreen
from tui.state import BoardState


@pytest.mark.parametrize(
    ("whence", "words"),
    [
        (Whence(SourceKind.LIVE, True, FixMode.AUTONOMOUS, Verdict.FIRM), ""),
        (Whence(SourceKind.LIVE, True, FixMode.RTK_FIXED, Verdict.USABLE), ""),
        (Whence(SourceKind.LIVE, True, FixMode.AUTONOMOUS, Verdict.DOUBTFUL), "doubtful"),
        (Whence(SourceKind.LIVE, False, FixMode.AUTONOMOUS, Verdict.FIRM), "no current position"),
        (Whence(SourceKind.LIVE, True, FixMode.SIMULATED, Verdict.FIRM), "simulated"),
        (Whence(SourceKind.LIVE, True, FixMode.ESTIMATED, Verdict.FIRM), "estimated"),
        (Whence(SourceKind.LIVE, True, FixMode.MANUAL, Verdict.FIRM), "manual"),
        (Whence(SourceKind.HELD, True, FixMode.AUTONOMOUS, Verdict.FIRM), "held place"),
        (Whence(SourceKind.REPLAY, True, FixMode.AUTONOMOUS, Verdict.FIRM), "recording"),
        (Whence(SourceKind.REHEARSAL, True, FixMode.AUTONOMOUS, Verdict.FIRM), "recording"),
        (Whence(SourceKind.TRACK, True, FixMode.AUTONOMOUS, Verdict.FIRM), "recording"),
        (Whence(SourceKind.NOTHING, False, FixMode.NONE, Verdict.NO_FIX), "no receiver"),
    ],
)
def test_only_a_current_satellite_fix_of_a_live_receiver_goes_by_itself(whence: Whence, words: str) -> None:
    assert words in why_not_sent(whence)
    assert bool(why_not_sent(whence)) == bool(words)


async def _sending(app: FixboardApp, pilot: Pilot[None], state: BoardState, out: Path) -> None:
    await opened(app, pilot, state)
    await pilot.press("f8")
    await until(pilot, lambda: isinstance(app.screen, PromptScreen))
    assert "licence" in screen_text(app)
    await typed(app, pilot, str(out))
    await typed(app, pilot, "10")


async def test_texts_are_written_with_their_time_while_there_is_a_fix_and_stop_by_key(tmp_path: Path) -> None:
    app, out = app_with(tmp_path), tmp_path / "positions.txt"
    live = board_state(walked(12), status=LIVE)
    async with app.run_test(size=(120, 40)) as pilot:
        await _sending(app, pilot, live, out)
        await until(pilot, lambda: out.exists() and out.read_text().endswith("\n"))
        line = "/041200z1030.00N/02015.00W[090/003/A=000041\n"
        assert out.read_text() == line
        show(app, board_state(walked(12), status=LIVE, age_s=4.0))
        app._send_one()
        show(app, board_state(walked(12), status=HELD))
        app._send_one()
        show(app, board_state(walked(12)))
        app._send_one()
        await pilot.pause()
        for words in ("no current position", "held place", "recording"):
            assert any(words in toast for toast in toasts(app))
        assert "held back: this is a recording" in app.sending_words
        app._show()
        assert app.state.sending == "TEXTS WAIT"
        assert "TEXTS WAIT" in rows_of(drawn(SourceLine(), app.state, (120, 1)))[0]
        show(app, live)
        app._send_one()
        await until(pilot, lambda: out.read_text() == 2 * line)
        await until(pilot, lambda: "2 written" in app.sending_words)
        app._show()
        assert "texts 2" in rows_of(drawn(SourceLine(), app.state, (120, 1)))[0]
        await pilot.press("f8")
        assert "Stopped" in toasts(app)[-1]
        app._send_one()
        await pilot.pause()
        assert out.read_text() == 2 * line


async def test_the_writing_ends_with_the_program(tmp_path: Path) -> None:
    app, out = app_with(tmp_path), tmp_path / "positions.txt"
    async with app.run_test(size=(120, 40)) as pilot:
        await _sending(app, pilot, board_state(walked(12), status=LIVE), out)
        await until(pilot, out.exists)
        sender = app._sender
        assert sender is not None
    sender._thread.join(20.0)
    assert not sender._thread.is_alive()
    assert app._sender is None


async def test_nothing_precise_is_written_near_home_and_a_blurred_text_is(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('[home]\nplace = "10.5 N 20.25 W"\nradius_m = 500\n')
    app, out = app_with(tmp_path), tmp_path / "positions.txt"
    async with app.run_test(size=(120, 40)) as pilot:
        await _sending(app, pilot, board_state(walked(12), status=LIVE), out)
        await pilot.pause()
        assert any("Home" in toast for toast in toasts(app))
        assert not out.exists()
        await pilot.press("right", "right")
        app._send_one()
        await until(pilot, lambda: out.exists() and out.read_text() == "/041200z1030.  N/02015.  W[090/003\n")


async def test_what_cannot_be_written_to_is_said_and_the_board_goes_on(tmp_path: Path) -> None:
    app, taken = app_with(tmp_path), tmp_path / "mine.gpx"
    taken.write_text("<gpx/>")
    async with app.run_test(size=(120, 40)) as pilot:
        await _sending(app, pilot, board_state(walked(12), status=LIVE), taken)
        await until(pilot, lambda: any("something else than position texts" in toast for toast in toasts(app)))
        assert taken.read_text() == "<gpx/>"
        await pilot.press("f8", "f8")
        await typed(app, pilot, "udp://:4000")
        assert "cannot be written to" in toasts(app)[-1]
        assert app.screen.query_one(Input).value == "udp://:4000", "what was typed is there to be put right"
        await typed(app, pilot, str(tmp_path / "a.txt"))
        await typed(app, pilot, "1")
        assert "no interval" in toasts(app)[-1]
        assert app.screen.query_one(Input).value == "1"
        assert not (tmp_path / "a.txt").exists()
