"""Export from the board: by the keys, in a thread, never over what is there."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import gpxpy
import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from core.outing import Outing
from core.sources.feed import Feed
from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.exported import fixes_of, recorded
from tests.tui.support import (
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    judging_model,
    toasts,
    until,
)
from tests.walks import OCEAN, straight
from tui.app import FixboardApp
from tui.opening import Opening
from tui.screens.pick import PickScreen
from tui.screens.prompt import PromptScreen

LIVE = SourceStatus(SourceKind.LIVE, "/dev/q0abc", SourceState.RECEIVING)


@dataclass(frozen=True, slots=True)
class WithTrip(ScriptedOpening):
    """A receiver whose trip is counted."""

    def feed(self, on_news: Callable[[], None]) -> Feed:
        return Feed(self.source, judging_model(Outing()), on_news)


def replay(folder: Path) -> tuple[FixboardApp, Path]:
    path = recorded(folder / "walk.nmea", straight(OCEAN, 0.0, 90))
    return board_app(folder, Opening(path, pace=0.1)), path


async def export(app: FixboardApp, pilot: Pilot[None], number: int, out: Path) -> None:
    await pilot.press("X")
    await until(pilot, lambda: isinstance(app.screen, PickScreen) and isinstance(app.focused, OptionList))
    await pilot.press(*["down"] * number, "enter")
    await until(pilot, lambda: isinstance(app.screen, PromptScreen) and isinstance(app.focused, Input))
    app.screen.query_one(Input).value = str(out)
    await pilot.press("enter")


async def test_a_replay_is_exported_whole_however_far_it_has_been_played(tmp_path: Path) -> None:
    app, path = replay(tmp_path)
    out = tmp_path / "out.gpx"
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, lambda: app.state.snapshot.fix.position is not None)
        await export(app, pilot, 0, out)
        await until(pilot, lambda: any("Exported to" in one for one in toasts(app)))
        assert app.state.snapshot.counts.epochs < 91
    assert len(list(gpxpy.parse(out.read_text("utf-8")).walk())) == len(fixes_of(path)) == 91


async def test_of_a_receiver_the_trip_so_far_is_exported(tmp_path: Path) -> None:
    epochs = [Epoch(float(n), place=f"1030.{20 * n:04d},N,02015.0000,W", knots="7.2", course="0") for n in range(60)]
    app = board_app(tmp_path, WithTrip(ScriptedSource(arrivals_of(*epochs), LIVE)))
    out = tmp_path / "mine.csv"
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, lambda: app.state.snapshot.trip.track.count > 0)
        points = list(app.state.snapshot.trip.track.points)
        await export(app, pilot, 3, out)
        await until(pilot, lambda: any("Exported to" in one for one in toasts(app)))
    rows = list(csv.DictReader(out.read_text("utf-8").splitlines()))
    assert len(rows) >= len(points)
    assert float(rows[0]["latitude_deg"]) == pytest.approx(points[0].position.latitude_deg, abs=1e-8)
    assert (rows[0]["mode"], rows[0]["hdop"], rows[0]["verdict"]) == ("", "", "")


async def test_what_is_there_stays_and_that_is_said(tmp_path: Path) -> None:
    app, _ = replay(tmp_path)
    out = tmp_path / "out.gpx"
    out.write_bytes(b"mine")
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, lambda: app.state.snapshot.fix.position is not None)
        await export(app, pilot, 0, out)
        await until(pilot, lambda: any("exists already" in one for one in toasts(app)))
    assert out.read_bytes() == b"mine"


async def test_without_a_track_there_is_nothing_to_export(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("X")
        await until(pilot, lambda: any("no track" in one for one in toasts(app)))
        assert not isinstance(app.screen, PickScreen)


async def test_escape_at_either_question_writes_nothing(tmp_path: Path) -> None:
    app, _ = replay(tmp_path)
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, lambda: app.state.snapshot.fix.position is not None)
        await pilot.press("X")
        await until(pilot, lambda: isinstance(app.focused, OptionList))
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.focused, Input))
        await pilot.press("escape")
        await until(pilot, lambda: not isinstance(app.screen, PromptScreen))
    assert sorted(one.name for one in tmp_path.iterdir() if one.suffix in {".gpx", ".part"}) == []
