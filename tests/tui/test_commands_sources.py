"""Every command that has to do with what arrives does what its line of help says: recordings, replays, feeds."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from core.logbook import RecorderState
from core.sources.source import SourceKind, SourceState
from tests.build import lines
from tests.tui.commands_support import Bench, Check, enrolled, on_bench
from tests.tui.support import (
    REPLAYING,
    SETTLED,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    screen_text,
    show,
    toasts,
    until,
)
from tui.opening import Opening
from tui.screens.board import BoardScreen
from tui.screens.chooser import ChooserScreen

MANY = 12
"""More steps than there are paces."""


CHECKS: dict[str, Check] = {}
checks = partial(enrolled, CHECKS)


@checks("logbook")
async def logbook(bench: Bench) -> None:
    await bench.press("L")
    assert "No session yet: r on the board records" in screen_text(bench.app)
    await bench.press("escape")
    assert bench.app.screen is bench.app.board


@checks("export")
async def export(bench: Bench) -> None:
    await bench.press("X")
    assert toasts(bench.app) == ["There is no track to export yet."]


@checks("toggle_pause", "faster", "slower")
async def playing(bench: Bench) -> None:
    path = bench.folder / "walk.nmea"
    path.write_bytes(b"".join(lines(*Epoch(second=float(n)).bodies()) for n in range(600)))
    bench.app.open(Opening(path))
    await until(bench.pilot, lambda: bench.app.state.status.state is SourceState.PLAYING)
    await bench.press("space")
    assert bench.app.state.status.state is SourceState.PAUSED
    await bench.press("plus")
    assert bench.app.state.status.pace == 2.0
    await bench.press("minus", "minus")
    assert bench.app.state.status.pace == 0.5
    await bench.press(*["minus"] * MANY)
    assert bench.app.state.status.pace == 0.1
    await bench.press(*["right_square_bracket"] * MANY)
    assert bench.app.state.status.pace == float("inf")
    assert "paused  as fast as it goes" in screen_text(bench.app)
    await bench.press("space")
    await until(bench.pilot, lambda: bench.app.state.snapshot.counts.epochs == 600)
    await until(bench.pilot, lambda: bench.app.state.status.state is SourceState.ENDED)


@checks(
    *("step_back", "step_on", "back_10_s", "on_10_s", "back_1_min", "on_1_min", "back_10_min", "on_10_min"),
    *("previous_event", "next_event", "ask_time", "loop"),
)
async def going_through(bench: Bench) -> None:
    """Without a recording each says why nothing happens; with one: tests/tui/test_replaying.py."""
    for key in ("comma", "full_stop", *"<>(){}:;TR"):
        bench.app.clear_notifications()
        await bench.press(key)
        assert toasts(bench.app) == ["No recording is open: o opens one."]
        assert bench.app.screen is bench.app.board


@checks("toggle_recording")
async def recording(bench: Bench) -> None:
    bench.app.open(ScriptedOpening(ScriptedSource(())))
    await bench.press("r")
    assert toasts(bench.app)[-1] == "This is a recording already: only live sources are recorded."
    live = replace(REPLAYING, kind=SourceKind.LIVE, state=SourceState.RECEIVING, pace=None)
    bench.app.open(ScriptedOpening(ScriptedSource((), live)))
    await bench.press("r")
    assert bench.recorder() is RecorderState.RECORDING
    await bench.press("r")
    assert bench.recorder() is RecorderState.OFF


@checks("open_other")
async def open_other(bench: Bench) -> None:
    Path("hike.nmea").write_bytes(lines(*Epoch().bodies()))
    await bench.press("o")
    assert isinstance(bench.app.screen, ChooserScreen)
    assert "hike.nmea" in screen_text(bench.app)
    await bench.press("enter")
    await until(bench.pilot, lambda: bench.app.state.status.name == "hike.nmea")


@checks("toggle_feed", "toggle_saving")
async def feeding(bench: Bench) -> None:
    """What other programs get, and what saving saves: tests/tui/test_feeding.py, test_saving.py."""
    await bench.press("O")
    assert "nothing to feed" in toasts(bench.app)[-1]
    await bench.press("Y")
    assert bench.app.state.is_saving
    await bench.press("Y")
    assert not bench.app.state.is_saving


@checks("next_chapter", "previous_chapter", "add_chapter", "list_chapters")
async def chapters(bench: Bench) -> None:
    """Without a recording they say so; tests/tui/test_chapters.py has what they do with one."""
    show(bench.app, SETTLED)
    for key in "NPMK":
        before = len(toasts(bench.app))
        await bench.press(key)
        assert bench.dialogue() is BoardScreen
        assert len(toasts(bench.app)) == before + 1


@pytest.mark.parametrize("check", dict.fromkeys(CHECKS.values()), ids=lambda check: check.__name__)
async def test_commands(check: Check, tmp_path: Path) -> None:
    await on_bench(check, tmp_path)
