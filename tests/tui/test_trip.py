"""The trip by the keys: legs, reset and undo, the way back, the trail's view, what a crash leaves. All invented."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

from core.fix import Position
from core.going import Route
from core.outing import NO_REPORT, Outing, TripReport
from core.places.geodesic import way
from core.sources.source import SourceKind, SourceState, SourceStatus
from core.trip import Totals
from core.trip_file import TripFile
from core.trip_keeper import TripKeeper
from tests.build import lines
from tests.tui.support import (
    SETTLED,
    START_S,
    Epoch,
    board_app,
    board_state,
    judging_model,
    screen_text,
    show,
    toasts,
    until,
    walked,
)
from tui.app import FixboardApp
from tui.dark import before_dark
from tui.opening import Opening
from tui.panes.board_trail import BoardTrail
from tui.panes.trip import TripPane

METRES_PER_DEGREE_EAST = 109_473.0
"""At 10.5 degrees north (WGS 84: cos(lat) a / sqrt(1 - e2 sin2(lat)) x pi / 180)."""


KNOTS_PER_MPS = 3600 / 1852


def walk(seconds: int, mps: float = 1.5) -> bytes:
    """Due east along 10.5 N, a fix a second."""
    found = []
    for second in range(seconds):
        minutes = (20.25 - mps * second / METRES_PER_DEGREE_EAST) * 60 - 20 * 60
        place, knots = f"1030.0000,N,020{minutes:07.4f},W", f"{mps * KNOTS_PER_MPS:.1f}"
        found += Epoch(second=float(second), place=place, knots=knots).bodies()
    return lines(*found)


def walked_app(folder: Path) -> FixboardApp:
    path = folder / "walk.nmea"
    path.write_bytes(walk(600))
    return board_app(folder)


async def test_the_trip_counts_what_was_walked_and_the_trail_shows_it(tmp_path: Path) -> None:
    app = walked_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open(Opening(tmp_path / "walk.nmea", pace=float("inf")))
        await until(pilot, lambda: app.state.snapshot.counts.epochs >= 600)
        totals = app.state.trip.totals
        assert 0.97 * 590 * 1.5 < totals.distance_m < 1.01 * 600 * 1.5
        assert totals.gaps == 0
        await pilot.press("i")
        await pilot.pause()
        text = screen_text(app)
        assert "turn back at the latest" in text
        assert "Terrain, weather and company decide" in text
        await pilot.press("p")
        await pilot.pause()
        assert app.board.query_one(BoardTrail)._view.track == app.state.trip.track


async def test_legs_reset_and_undo(tmp_path: Path) -> None:
    app = walked_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f9")
        assert "No trip is under way" in toasts(app)[-1]
        app.open(Opening(tmp_path / "walk.nmea", pace=float("inf")))
        await until(pilot, lambda: app.state.snapshot.counts.epochs >= 600)
        outing = app._feed.outing if app._feed else None
        assert outing is not None
        before = outing.report().totals.distance_m
        await pilot.press("l")
        assert len(outing.report().legs) == 1
        await pilot.press("f8")
        assert outing.report().totals.distance_m == 0.0
        assert outing.report().track.count == 0
        await pilot.press("f9")
        assert outing.report().totals.distance_m == before
        assert outing.report().track.count > 0
        await pilot.press("f9")
        assert "No trip was reset" in toasts(app)[-1]


async def test_back_by_trail_and_straight_to_the_start(tmp_path: Path) -> None:
    app = walked_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f")
        assert "No trail yet" in toasts(app)[-1]
        app.open(Opening(tmp_path / "walk.nmea", pace=float("inf")))
        await until(pilot, lambda: app.state.snapshot.counts.epochs >= 600)
        await pilot.press("f")
        await pilot.pause()
        assert app.state.is_by_trail
        guidance = app.state.guidance
        assert guidance is not None
        assert guidance.bearing_deg is not None
        assert abs(guidance.bearing_deg - 270.0) < 2.0
        assert app.state.trail_left_m is not None
        assert 850.0 < app.state.trail_left_m < 900.0  # from the last point of the track to the first usable fix
        assert "by trail" in screen_text(app)
        await pilot.press("z")
        await pilot.pause()
        assert not app.state.is_by_trail
        here = app.state.position
        assert here is not None
        assert app.state.target is not None
        assert abs(way(here, app.state.target.position).distance_m - 898.5) < 15.0  # from the first usable fix
        await pilot.press("x")
        assert app.state.target is None


async def test_the_keys_of_the_trail(tmp_path: Path) -> None:
    app = walked_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open(Opening(tmp_path / "walk.nmea", pace=float("inf")))
        await until(pilot, lambda: app.state.snapshot.counts.epochs >= 600)
        await pilot.press("p")
        await pilot.pause()
        trail = app.board.query_one(BoardTrail)
        await pilot.press("pageup")
        assert trail.zoom is not None
        near = trail.zoom
        await pilot.press("pagedown")
        assert trail.zoom == near + 1
        await pilot.press("left", "up", "right", "down", "left")
        assert trail.moved_by is not None
        await pilot.press("home")
        assert trail.moved_by is None
        await pilot.press("end")
        assert trail.zoom is None


def test_a_killed_trip_goes_on(tmp_path: Path) -> None:
    """What the keeper wrote is all that a second run has."""
    first = Outing()
    keeper = TripKeeper(TripFile(tmp_path))
    keeper.begin(first)
    model = judging_model(first)
    model.feed(walk(300), START_S)
    for _ in range(10):
        keeper.look()
    keeper._jobs.put(None)
    assert keeper._thread is not None
    keeper._thread.join(10)  # the disk has what was asked for; nothing was closed
    second = Outing()
    keeper._lock.close()  # as the system does for a process that is killed
    points, told = TripKeeper(TripFile(tmp_path)).begin(second)
    assert points
    assert told == ""
    then, now = first.report(), second.report()
    assert now.track.count == then.track.count
    assert now.totals.distance_m == then.totals.distance_m > 400.0
    assert isinstance(now.track.points[0].position, Position)


def test_what_could_not_be_written_is_written_when_there_is_room_again(tmp_path: Path) -> None:
    blocked = tmp_path / "data"
    blocked.write_text("in the way")
    outing = Outing()
    keeper = TripKeeper(TripFile(blocked))
    keeper.begin(outing)
    judging_model(outing).feed(walk(100), START_S)
    keeper.look()
    while keeper._jobs.qsize():
        assert keeper._thread is not None
        keeper._thread.join(0.01)
    blocked.unlink()
    judging_model(outing).feed(walk(200)[-20_000:], START_S)
    keeper.look()
    keeper.end()
    assert len(TripFile(blocked).points()) == outing.report().track.count


async def test_the_trip_page_without_a_trip(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, SETTLED)
        await pilot.press("i")
        await pilot.pause()
        assert "no trail yet" in screen_text(app)
        assert "nothing counted yet" in screen_text(app)
        assert "0 m" not in screen_text(app)
        assert app.board.query_one(TripPane).display


# Back along the trail, over a restart


@asynccontextmanager
async def run_with(folder: Path, seconds: int, *, is_live: bool = True) -> AsyncIterator[FixboardApp]:
    """A run of the board in which so much has been walked; the walk is taken for a receiver's."""
    path = folder / "walk.nmea"
    path.write_bytes(walk(seconds))
    app = board_app(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open(Opening(path, pace=float("inf")))
        await until(pilot, lambda: app.state.snapshot.counts.epochs >= seconds)
        if is_live:
            app._is_kept = lambda feed: True  # type: ignore[method-assign]  # else it would have to be one
        yield app


async def led_back(folder: Path, *, is_live: bool = True) -> str:
    """By key, in a first run; what is remembered then."""
    async with run_with(folder, 300, is_live=is_live) as app:
        app.action_back_by_trail()
        assert app.state.is_by_trail
        return app.session.memory.trail


async def after_restart(folder: Path, seconds: int) -> Route | None:
    """Where a second run leads by itself, when it has taken up a trip of so many seconds."""
    async with run_with(folder, seconds) as app:
        assert app._feed is not None
        assert app._feed.outing is not None
        app._go_on(app._feed.outing, app.state.trip.track.points[0])
        return app.state.route if app.state.is_by_trail else None


async def test_who_is_led_back_by_trail_still_is_after_a_restart(tmp_path: Path) -> None:
    kept = await led_back(tmp_path)
    assert kept
    for _ in range(2):  # and is remembered on
        route = await after_restart(tmp_path, 400)
        assert route is not None
        assert route.by_trail


async def test_no_other_trip_and_no_recording_inherits_the_way_back(tmp_path: Path) -> None:
    assert await led_back(tmp_path)
    assert await after_restart(tmp_path, 40) is None
    assert await led_back(tmp_path, is_live=False) == ""


async def test_another_source_ends_it_for_later_runs_too(tmp_path: Path) -> None:
    async with run_with(tmp_path, 300) as app:
        app.action_back_by_trail()
        assert app.session.memory.trail
        app.open(Opening(tmp_path / "walk.nmea"))
        assert not app.state.is_by_trail
        assert app.session.memory.trail == ""


async def test_another_target_ends_it_for_later_runs_too(tmp_path: Path) -> None:
    assert await led_back(tmp_path)
    async with run_with(tmp_path, 300) as app:
        app.action_drop_target()
    assert await after_restart(tmp_path, 300) is None


# Found by review


def test_a_second_reset_by_mistake_loses_nothing(tmp_path: Path) -> None:
    outing = Outing()
    keeper = TripKeeper(TripFile(tmp_path))
    keeper.begin(outing)
    judging_model(outing).feed(walk(300), START_S)
    before = outing.report()
    assert keeper.reset()
    assert not keeper.reset()
    assert keeper.undo_reset()
    keeper.end()
    now = outing.report()
    assert now.totals.distance_m == before.totals.distance_m
    assert now.track.count == before.track.count
    assert len(TripFile(tmp_path).points()) == before.track.count


def test_a_reset_can_be_undone_after_a_restart(tmp_path: Path) -> None:
    first, second = Outing(), Outing()
    keeper = TripKeeper(TripFile(tmp_path))
    keeper.begin(first)
    judging_model(first).feed(walk(300), START_S)
    before = first.report()
    assert keeper.reset()
    keeper.end()
    again = TripKeeper(TripFile(tmp_path))
    assert again.begin(second) == ([], "")
    assert again.undo_reset()
    again.end()
    assert second.report().track.count == before.track.count
    assert second.report().totals.distance_m == before.totals.distance_m
    assert [path.name for path in tmp_path.glob("trip.2*.csv")] == ["trip.20310504-120008.csv"]


def test_totals_that_cannot_be_read_are_set_aside_and_said(tmp_path: Path) -> None:
    first, second = Outing(), Outing()
    keeper = TripKeeper(TripFile(tmp_path))
    keeper.begin(first)
    judging_model(first).feed(walk(300), START_S)
    keeper.end()
    (tmp_path / "trip.json").write_text('{"torn')
    again = TripKeeper(TripFile(tmp_path))
    points, told = again.begin(second)
    assert len(points) == first.report().track.count
    assert "begin anew" in told
    assert again.reset()  # the track alone is a trip too
    assert again.undo_reset()
    again.end()  # the disk has what was asked for: not before, since a thread of its own writes
    assert (tmp_path / "trip.json.unreadable").read_text() == '{"torn'
    assert second.report().track.count == len(points)


def test_a_second_program_does_not_write_into_the_trip(tmp_path: Path) -> None:
    first, second = TripKeeper(TripFile(tmp_path)), TripKeeper(TripFile(tmp_path))
    outing = Outing()
    first.begin(outing)
    judging_model(outing).feed(walk(100), START_S)
    assert second.begin(Outing()) == ([], "")
    assert "another fixboard" in second.trouble
    second.look()
    second.end()
    first.end()
    assert len(TripFile(tmp_path).points()) == outing.report().track.count


async def test_the_way_back_before_dark_knows_of_gaps_and_goes_on_without_a_fix(tmp_path: Path) -> None:
    app = walked_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open(Opening(tmp_path / "walk.nmea", pace=float("inf")))
        await until(pilot, lambda: app.state.snapshot.counts.epochs >= 600)
        found = before_dark(app.state)
        assert found.seconds_left is not None
        assert abs(found.away_m - 886.5) < 30.0
        later = app.state.changed(now_s=app.state.now_s + 3600.0)
        lost = before_dark(later)
        assert lost.seconds_left is not None
        assert abs(lost.seconds_left - (found.seconds_left - 3600.0)) < 61.0
        assert any("From the last position" in one for one in lost.assumptions)


async def test_who_sails_or_drives_is_not_told_when_to_turn_back(tmp_path: Path) -> None:
    (tmp_path / "ferry.nmea").write_bytes(walk(600, mps=9.0))
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open(Opening(tmp_path / "ferry.nmea", pace=float("inf")))
        await until(pilot, lambda: app.state.trip.totals.distance_m > 2000.0)
        assert before_dark(app.state).seconds_left is None
        assert "faster than a walk" in before_dark(app.state).latest_turn


def test_a_held_place_has_no_trip_and_says_why() -> None:
    pane = TripPane()
    pane.state = board_state(status=SourceStatus(SourceKind.HELD, "Old quay", SourceState.HOLDING))
    told = "\n".join("".join(span.text for span in row) for row in pane.rows(78, 20))
    assert "a held place does not move" in told
    assert "no position yet" not in told
    assert "begins with a usable fix" not in told


def test_an_average_above_the_fastest_is_said_to_be_the_positions_wandering() -> None:
    """As a trip that was counted by positions alone between tall houses has it, and was kept."""

    def fastest(average_mps: float | None, fastest_mps: float | None) -> str:
        totals = Totals(100.0, 60.0, average_mps=average_mps, fastest_mps=fastest_mps)
        state = board_state(replace(walked(4), trip=TripReport(NO_REPORT.track, totals)))
        pane = TripPane()
        pane.state = state
        rows = ["".join(span.text for span in row) for row in pane.rows(78, 20)]
        return next(row for row in rows if row.startswith("fastest"))

    assert fastest(2.0, 1.4).strip().endswith("below the average: positions wander")
    assert all("wander" not in fastest(*mps) for mps in ((1.3, 1.4), (1.401, 1.4), (2.0, None), (None, 1.4)))
