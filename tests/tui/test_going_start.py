"""Where a leg begins: where it was asked for, whatever the recording does next. The walk is invented."""

from __future__ import annotations

from math import radians, sin
from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.fix import Position
from core.places.geodesic import way
from tests.logbooks import NOON, walk
from tests.tui.support import ISLE, board_app, until
from tui.app import FixboardApp
from tui.opening import Opening


def recording(folder: Path) -> Path:
    """A walk due north of ten minutes, the fix lost from the fifth to the seventh."""
    path = folder / "north.nmea"
    path.write_bytes(b"".join(data for _, data in walk(NOON, 600, gap=(300, 420))))
    return path


async def at(pilot: Pilot[None], app: FixboardApp, seconds: float) -> None:
    """Go there in the recording."""
    app.seek_to(seconds)
    clock_ms = NOON.hour * 3_600_000 + round(seconds * 1000)
    await until(pilot, lambda: (utc := app.state.snapshot.fix.utc) is not None and abs(utc.time_ms - clock_ms) <= 1000)


async def standing(pilot: Pilot[None], app: FixboardApp, path: Path) -> None:
    """Opened, paused, with a place to go to."""
    app.session.add(ISLE)
    app.open(Opening(path))
    await until(pilot, lambda: app._feed is not None and app._feed.survey().is_done)
    await pilot.press("space")


@pytest.mark.parametrize("then_s", [60.0, 240.0, 550.0])
async def test_a_leg_begins_where_it_was_asked_for(tmp_path: Path, then_s: float) -> None:
    app = board_app(tmp_path / "data")
    async with app.run_test(size=(120, 40)) as pilot:
        await standing(pilot, app, recording(tmp_path))
        await at(pilot, app, 120.0)
        here = app.state.snapshot.fix.position
        assert here is not None
        app._go_to((ISLE,))
        await at(pilot, app, then_s)
        await until(pilot, lambda: app.state.going.cross_track_m is not None)
        assert app.state.going.leg_start == here
        there = app.state.snapshot.fix.position
        assert there is not None
        assert beside(app) == pytest.approx(beside_by_hand(here, there), abs=0.5)
        assert abs(beside(app)) > 10  # the walk leads beside that line: a leg begun after the jump would say 0


def beside(app: FixboardApp) -> float:
    """Metres right of the leg."""
    assert app.state.going.cross_track_m is not None
    return app.state.going.cross_track_m


def beside_by_hand(start: Position, there: Position) -> float:
    """On a plane, for so short a leg: distance from the start times the sine of the angle between the two bearings."""
    leg, walked = way(start, ISLE.position), way(start, there)
    return walked.distance_m * sin(radians(walked.initial_bearing_deg - leg.initial_bearing_deg))


async def test_without_a_fix_it_begins_at_the_first_one(tmp_path: Path) -> None:
    app = board_app(tmp_path / "data")
    async with app.run_test(size=(120, 40)) as pilot:
        await standing(pilot, app, recording(tmp_path))
        await at(pilot, app, 390.0)
        app._go_to((ISLE,))
        assert app.state.going.leg_start is None
        await at(pilot, app, 450.0)
        await until(pilot, lambda: app.state.going.leg_start is not None)
        assert app.state.snapshot.fix.is_satellite_fix
