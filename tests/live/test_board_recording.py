"""The recorder on the board: its key, its failures, and what the next start makes of a crash."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.logbook import RecorderState
from core.memory import Memory, remember
from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.live.board import BURSTS, LIVE, SIZE, Strings, live_board, memory, rows, said, until_shown
from tests.live.test_tagging import untagged
from tui.screens.pick import PickScreen

pytestmark = pytest.mark.usefixtures("same_everywhere")


def recorded(folder: Path) -> bytes:
    """All recordings, without our blocks."""
    return untagged(b"".join(path.read_bytes() for path in sorted((folder / "recordings").iterdir())))


async def test_r_records_and_stops(tmp_path: Path) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        strings.send(*BURSTS[:2])
        await until_shown(pilot, lambda: app.state.is_current)
        assert "recording" not in rows(app)[0]
        await pilot.press("r")
        await until_shown(pilot, lambda: "recording 0.0 MB" in rows(app)[0])
        assert f"Recording into {tmp_path / 'recordings'}." in said(app)
        assert memory(tmp_path).recording == LIVE.name
        strings.send(*BURSTS[2:6])
        await until_shown(pilot, lambda: app.state.recorder.bytes_written >= sum(map(len, BURSTS[2:6])))
        await pilot.press("r")
        await until_shown(pilot, lambda: "recording" not in rows(app)[0])
        (file,) = (tmp_path / "recordings").iterdir()
        assert f"Recorded: {file.name}" in said(app)
        assert file.name.endswith("_ttyQ0.nmea")
        assert recorded(tmp_path) == b"".join(BURSTS[2:6])
        assert memory(tmp_path).recording == ""


async def test_quitting_closes_the_recording(tmp_path: Path) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("r")
        strings.send(*BURSTS[:4])
        await until_shown(pilot, lambda: app.state.is_current)
        await pilot.press("q")
    assert recorded(tmp_path) == b"".join(BURSTS[:4])
    assert memory(tmp_path).recording == ""


async def test_a_recording_is_not_recorded_again(tmp_path: Path) -> None:
    strings = Strings(SourceStatus(SourceKind.REPLAY, "walk.nmea", SourceState.PLAYING))
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("r")
        await until_shown(pilot, lambda: said(app))
        assert said(app) == ["This is a recording already: only live sources are recorded."]
        assert not (tmp_path / "recordings").exists()


async def test_a_recorder_that_fails_is_told_at_once_and_the_board_goes_on(tmp_path: Path) -> None:
    (tmp_path / "recordings").write_text("a file where the folder should be", encoding="utf-8")
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("r")
        strings.send(BURSTS[0])
        await until_shown(pilot, lambda: app.state.recorder.state is RecorderState.FAILED)
        await until_shown(pilot, lambda: "RECORDING STOPPED" in rows(app)[0])
        assert [text for text in said(app) if text.startswith("Not a directory") or "is no folder" in text]
        before = app.state.snapshot.counts.epochs
        strings.send(*BURSTS[1:5])
        await until_shown(pilot, lambda: app.state.snapshot.counts.epochs > before + 2)
        assert app.state.is_current
        assert len([text for text in said(app) if "make room" in text]) == 1, "told once"
        (tmp_path / "recordings").unlink()
        await pilot.press("r")
        strings.send(*BURSTS[5:7])
        await until_shown(pilot, lambda: "recording 0.0 MB" in rows(app)[0])
        await until_shown(pilot, lambda: app.state.recorder.bytes_written > 0)
    assert recorded(tmp_path) == b"".join(BURSTS[5:7])


async def test_a_failed_recording_is_no_crash_for_the_next_start(tmp_path: Path) -> None:
    (tmp_path / "recordings").write_text("a file where the folder should be", encoding="utf-8")
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("r")
        strings.send(BURSTS[0])
        await until_shown(pilot, lambda: app.state.recorder.state is RecorderState.FAILED)
    assert memory(tmp_path).recording == ""


@pytest.mark.parametrize("goes_on", [True, False])
async def test_after_a_crash_the_next_start_offers_to_go_on(tmp_path: Path, goes_on: bool) -> None:
    remember(tmp_path / "board.toml", Memory(recording="/dev/ttyQ0 9600 baud"))
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await until_shown(pilot, lambda: isinstance(app.screen, PickScreen))
        assert "The last run ended while it recorded /dev/ttyQ0 9600 baud" in "\n".join(rows(app))
        await pilot.press(*([] if goes_on else ["down"]), "enter")
        await until_shown(pilot, lambda: not isinstance(app.screen, PickScreen))
        strings.send(*BURSTS[:3])
        await until_shown(pilot, lambda: app.state.is_current)
        assert ("recording" in rows(app)[0]) is goes_on
        assert memory(tmp_path).recording == (LIVE.name if goes_on else "")
    assert (tmp_path / "recordings").exists() is goes_on
    assert memory(tmp_path).recording == ""


async def test_an_answer_that_is_put_off_is_asked_for_again(tmp_path: Path) -> None:
    """Escape is no answer that loses anything: nothing is recorded, and that is what was chosen."""
    remember(tmp_path / "board.toml", Memory(recording="x\x1b[31m"))
    app = live_board(tmp_path, Strings())
    async with app.run_test(size=SIZE) as pilot:
        await until_shown(pilot, lambda: isinstance(app.screen, PickScreen))
        assert "\x1b" not in "".join(rows(app))
        await pilot.press("escape")
        await until_shown(pilot, lambda: not isinstance(app.screen, PickScreen))
        assert app.state.recorder.state is RecorderState.OFF


@pytest.mark.parametrize("how", ["option", "setting"])
async def test_recording_from_the_start(tmp_path: Path, how: str) -> None:
    if how == "setting":
        (tmp_path / "settings.toml").write_text("[recorder]\nalways = true\n", encoding="utf-8")
    strings = Strings()
    app = live_board(tmp_path, strings, record=how == "option")
    async with app.run_test(size=SIZE) as pilot:
        strings.send(*BURSTS[:3])
        await until_shown(pilot, lambda: app.state.recorder.bytes_written > 0)
    assert recorded(tmp_path).startswith(BURSTS[0])
