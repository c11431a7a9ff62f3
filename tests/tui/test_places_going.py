"""Ways to waypoints: routes, arrival, held places, and edits under way. Names and places are invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from core.fix import Position
from core.sources.source import SourceKind
from core.waypoints import Waypoint, Waypoints
from tests.tui.places_support import FORD, filled, saved
from tests.tui.support import (
    HERE,
    ISLE,
    SETTLED,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    screen_text,
    show,
    toasts,
    until,
)
from tui.app import FixboardApp
from tui.screens.places import PlacesScreen

# Going


async def test_mark_name_go_to_and_arrive(tmp_path: Path) -> None:
    """A walk of 60 m at 1.5 m/s due east to a waypoint, through the real model and a feed."""
    app = filled(tmp_path, Waypoint("Stile", Position(10.5, -20.25 + 60 / 109_600), error_95_m=3.0))
    steps = [Epoch(second=float(n), place=f"1030.0000,N,{_west(n)},W") for n in range(45)]
    source = ScriptedSource(arrivals_of(*steps))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("t", "enter")
        app.open(ScriptedOpening(source))
        await until(pilot, lambda: app.state.going.arrived)
        await until(pilot, lambda: "ARRIVED: within 20 m of Stile" in screen_text(app))
        assert any("Arrived at Stile" in one for one in toasts(app))
        assert "mark +-3.0 m, now +-6.9 m" in screen_text(app)
        await pilot.press("v")
        await pilot.pause()
        assert "ARRIVED" in screen_text(app)
        assert "Not for primary navigation" in screen_text(app)


def _west(second: int) -> str:
    """Longitude minutes after so many seconds at 1.5 m/s east; a degree here is 109,600 m (cos 10.5 deg)."""
    return f"0{20 * 100 + (0.25 - 1.5 * second / 109_600) * 60:.5f}"


async def test_the_next_leg_begins_by_itself(tmp_path: Path) -> None:
    stile = Waypoint("Stile", Position(10.5, -20.25 + 30 / 109_600))
    app = filled(tmp_path, stile, FORD)
    steps = [Epoch(second=float(n), place=f"1030.0000,N,{_west(n)},W") for n in range(40)]
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f6", "down", "f6", "escape")
        stile, ford = saved(tmp_path)
        assert (app.state.target, app.state.then) == (stile, (ford,))
        app.open(ScriptedOpening(ScriptedSource(arrivals_of(*steps))))
        await until(pilot, lambda: app.state.target == ford)
        assert app.state.then == ()
        assert app.session.target == stile  # a recording passed it, nobody in life


# Holding


async def test_hold_and_back(tmp_path: Path) -> None:
    app = filled(tmp_path, ISLE)
    async with app.run_test(size=(120, 40)) as pilot:
        source = ScriptedSource(arrivals_of(*(Epoch(second=float(n)) for n in range(3))))
        app.open(ScriptedOpening(source))
        await until(pilot, lambda: app.state.position is not None)
        await pilot.press("k", "f5")
        await until(pilot, lambda: app.state.is_held and app.state.position == ISLE.position)
        assert source._closed.is_set()
        for page in "0123456789ev":
            await pilot.press(page)
            await pilot.pause()
            assert "HELD PLACE" in screen_text(app), page
        await pilot.press("m")
        await pilot.pause()
        assert "held place, not a fix" in toasts(app)[-1]
        assert len(app.session.waypoints) == 1
        await pilot.press("r")
        assert "A held place sends nothing" in toasts(app)[-1]
        await pilot.press("k")
        await until(pilot, lambda: app.state.status.kind is SourceKind.REPLAY)


async def test_the_list_says_held_place_too(tmp_path: Path) -> None:
    app = filled(tmp_path, ISLE)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t", "f5")
        await until(pilot, lambda: app.state.is_held)
        await pilot.press("t")
        await pilot.pause()
        assert isinstance(app.screen, PlacesScreen)
        assert "HELD PLACE" in screen_text(app)
        assert "on the spot" in screen_text(app) or "0 m" in screen_text(app)


async def test_a_way_among_waypoints_of_one_name_is_remembered_by_place(tmp_path: Path) -> None:
    car, other = Waypoint("Car", Position(10.51, -20.25)), Waypoint("Car", Position(10.4, -20.25))
    first = filled(tmp_path, other, car, FORD)
    async with first.run_test(size=(120, 40)) as pilot:
        show(first, SETTLED)
        await pilot.press("t", *"car", "enter")
        await pilot.pause()
        assert first.state.target == car  # the nearer one
    async with board_app(tmp_path).run_test(size=(120, 40)) as pilot:
        assert isinstance(pilot.app, FixboardApp)
        assert pilot.app.state.target == car


async def test_renaming_follows_the_target_and_no_other_at_its_place(tmp_path: Path) -> None:
    app = filled(tmp_path, Waypoint("C", HERE), Waypoint("Old", HERE))
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", *"old", "enter", "t", *"old", "f2", *"Camp", "enter")
        await pilot.pause()
        assert app.state.target is not None
        assert app.state.target.name == "Camp"


async def test_the_way_follows_edits_of_another_program(tmp_path: Path) -> None:
    app = filled(tmp_path, ISLE, FORD)
    theirs = Waypoints(tmp_path / "waypoints.gpx")
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "enter")
        theirs.refresh()
        theirs.change(theirs.all()[0], replace(theirs.all()[0], position=Position(10.6, -20.24)))
        app._refresh_places()
        assert app.state.target is not None
        assert app.state.target.position == Position(10.6, -20.24)
        theirs.remove(theirs.all()[0])
        app._refresh_places()
        await pilot.pause()
        assert any("has gone from the waypoints" in one for one in toasts(app))


async def test_deleting_the_target_leads_on_to_the_next_leg(tmp_path: Path) -> None:
    app = filled(tmp_path, ISLE, FORD)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f6", "down", "f6", "up", "f8")
        await pilot.pause()
        assert app.state.target == FORD
        assert app.session.target == FORD
        assert "The way no longer leads there" in toasts(app)[-1]
