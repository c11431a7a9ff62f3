"""Averaging by the keys: begin, pause, end, save, compare; what every page says of it. All invented, on open ocean."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input

from core.benchmark import HeightKind, Mark
from core.fix import Position, Utc
from core.places.geodesic import way
from core.site import SiteReport, SiteState
from core.site_file import SiteFile
from core.sources.player import Player
from core.sources.source import SourceKind, SourceState
from core.waypoints import Waypoint
from tests.build import lines
from tests.tui.support import (
    NOON_S,
    REPLAYING,
    SETTLED,
    START_S,
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
from tests.walks import OCEAN, Noise, noisy, standing
from tui.app import FixboardApp
from tui.opening import HeldOpening, Opening
from tui.panes.place_form import PlaceForm
from tui.screens.prompt import PromptScreen

SECONDS = 400
LIVE = replace(REPLAYING, kind=SourceKind.LIVE, state=SourceState.RECEIVING, pace=None, name="port")


def minutes(value: float, width: int) -> str:
    degrees = int(abs(value))
    return f"{degrees:0{width}d}{(abs(value) - degrees) * 60:08.5f}"


def spot(position: Position) -> str:
    """As a receiver writes it, to a centimetre or two."""
    latitude, longitude = position
    sides = "N" if latitude >= 0 else "S", "E" if longitude >= 0 else "W"
    return f"{minutes(latitude, 2)},{sides[0]},{minutes(longitude, 3)},{sides[1]}"


def epochs(seconds: int, seed: int = 1, first: int = 0) -> list[Epoch]:
    steps = noisy(standing(OCEAN, seconds - 1), Noise(1.5, 20.0, 0.3), seed)
    return [Epoch(second=first + step.at_s, place=spot(step.place), knots="0.0", course="") for step in steps]


def app_with(folder: Path) -> FixboardApp:
    path = folder / "stood.nmea"
    path.write_bytes(lines(*(body for one in epochs(SECONDS) for body in one.bodies())))
    return board_app(folder / "data")


def state_of(app: FixboardApp) -> SiteState:
    return app.state.snapshot.site.state


async def averaged(app: FixboardApp, pilot: Pilot[None], folder: Path) -> SiteReport:
    """A recording averaged from its start, by the key."""
    app.open(Opening(folder / "stood.nmea", pace=1.0))
    await pilot.press("S")
    assert "Averaging begins" in toasts(app)[-1]
    assert app._feed
    assert isinstance(app._feed.source, Player)
    app._feed.source.set_pace(float("inf"))
    await until(pilot, lambda: app.state.status.state is SourceState.ENDED)
    # The last fix too: the mean moves with every one.
    await until(pilot, lambda: app.state.snapshot.fix.utc == Utc((NOON_S + SECONDS - 1) * 1000, date(2031, 5, 4)))
    assert app.state.snapshot.site.samples.count > 300
    return app.state.snapshot.site


# Keys


async def test_a_start_a_pause_and_an_end(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        report = await averaged(app, pilot, tmp_path)
        assert report.state is SiteState.RUNNING
        await pilot.press("A")
        await pilot.pause()
        text = screen_text(app)
        for words in ("Scatter", "95 %", "CEP", "sigma/sqrt(N)", "Never removed", "S pause"):
            assert words in text
        await pilot.press("S")
        await pilot.pause()
        assert state_of(app) is SiteState.PAUSED
        assert "Paused by you" in screen_text(app)
        await pilot.press("S")
        assert state_of(app) is SiteState.RUNNING
        await pilot.press("E")
        await pilot.pause()
        assert state_of(app) is SiteState.ENDED
        assert "ended" in screen_text(app)
        ended = app.state.snapshot.site.samples.count
        assert 370 < ended <= 400
        await pilot.press("E")
        assert "No averaging is under way" in toasts(app)[-1]
        await pilot.press("S")
        assert app.state.snapshot.site.samples.count == 0
        assert state_of(app) is SiteState.RUNNING


async def test_every_page_says_that_it_goes_on(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(100, 30)) as pilot:
        await averaged(app, pilot, tmp_path)
        for key in ("0", "3", "p", "i", "7", "A"):
            await pilot.press(key)
            await pilot.pause()
            assert "averaging 6 min" in screen_text(app), key
        await pilot.press("S")
        await pilot.pause()
        assert "AVERAGING WAITS" in screen_text(app)
        await pilot.press("E")
        await pilot.pause()
        assert "averaging 6 min" not in screen_text(app)


async def test_a_recording_is_not_kept_on_the_disk(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await averaged(app, pilot, tmp_path)
        await pilot.press("E")
    assert not list((tmp_path / "data").glob("averaging*"))


async def test_a_held_place_is_nothing_to_average(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("S")
        assert "nothing to average" in toasts(app)[-1]
        show(app, SETTLED)
        await pilot.press("m", "escape", "t", "f5")
        await until(pilot, lambda: app.state.is_held)
        assert isinstance(app._before_hold, HeldOpening) is False
        for key in ("S", "E", "W", "B"):
            await pilot.press(key)
            assert "held place" in toasts(app)[-1]
        await pilot.press("A")
        await pilot.pause()
        assert "not a measurement" in " ".join(screen_text(app).split())


async def test_the_mean_is_saved_with_its_uncertainty_and_method(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open(Opening(tmp_path / "stood.nmea"))
        await pilot.press("W")
        assert "There is no mean yet" in toasts(app)[-1]
        report = await averaged(app, pilot, tmp_path)
        await pilot.press("W")
        await pilot.pause()
        assert app.board.query_one(PlaceForm).is_open
        (saved,) = app.session.waypoints
        assert report.position
        assert way(saved.position, report.position).distance_m < 0.05
        assert saved.name.startswith("Average 1 ")
        assert "averaged in the replay stood.nmea" in saved.note
        await pilot.press("W")
        await pilot.pause()
        assert len(app.session.waypoints) == 1, "the letter belongs to the name while it is written"
        await pilot.press("escape", "W", "escape")
        assert [one.name.split()[1] for one in app.session.waypoints] == ["1", "2"]


async def typed(app: FixboardApp, pilot: Pilot[None], *answers: str) -> None:
    for text in answers:
        await pilot.pause()
        assert isinstance(app.screen, PromptScreen)
        app.screen.query_one(Input).value = text
        await pilot.press("enter")
        await pilot.pause()


async def test_a_mark_is_typed_and_compared(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(120, 60)) as pilot:
        await averaged(app, pilot, tmp_path)
        await pilot.press("A", "B")
        await typed(app, pilot, "10.5001 N 20.2501 W +- 2 cm", "40 feet", "44.5 ellipsoid", "Pillar 7")
        assert any("needs its figure in metres and its kind" in one for one in toasts(app))
        mark = app.state.snapshot.site.mark
        assert mark is not None
        assert (mark.name, mark.error_m, mark.height_m, mark.height_kind) == (
            "Pillar 7", 0.02, 44.5, HeightKind.ELLIPSOID,
        )  # fmt: skip
        assert mark.coarse_m > 5.0, "four decimals of a degree are eleven metres"
        text = screen_text(app)
        # A ten thousandth of a degree: 11.06 m of latitude, 10.95 m of longitude here (WGS 84).
        for words in ("Pillar 7", "east and", "south", "dH", "NAD 83", "antenna"):
            assert words in text
        await pilot.press("B", "down", "enter")
        await pilot.pause()
        assert app.state.snapshot.site.mark is None


async def test_a_waypoint_may_be_the_mark_and_nonsense_is_said(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(100, 40)) as pilot:
        await averaged(app, pilot, tmp_path)
        app.session.add(Waypoint("North pier", Position(10.5, -20.25), 12.0, error_95_m=0.5))
        await pilot.press("B")
        await typed(app, pilot, "nowhere at all")
        assert "cannot be read as a place" in toasts(app)[-1]
        assert app.screen.query_one(Input).value == "nowhere at all", "what was typed is there to be put right"
        await typed(app, pilot, "10 N 20 W +- 63 mi")
        assert "A mark known to 101 km is none" in toasts(app)[-1]
        await typed(app, pilot, "North pier")
        mark = app.state.snapshot.site.mark
        assert mark == Mark("North pier", Position(10.5, -20.25), 0.0, 0.5, 12.0, HeightKind.SEA_LEVEL)


# Live


def live(source: ScriptedSource) -> ScriptedOpening:
    return ScriptedOpening(source, "port")


async def test_a_live_averaging_survives_the_end_of_the_program(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(100, 30)) as pilot:
        app.open(live(ScriptedSource((), LIVE)))
        site = app._feed.site if app._feed else None
        assert site is not None
        await pilot.press("S")
        model = app._feed._model if app._feed else None
        assert model is not None
        for arrival in arrivals_of(*epochs(300)):
            model.feed(arrival.data, arrival.at_s)
        counted = site.report().samples.count
        assert counted > 200
    assert len(SiteFile(tmp_path).counted()) == counted
    again = board_app(tmp_path)
    async with again.run_test(size=(100, 30)) as pilot:
        again.open(live(ScriptedSource((), LIVE)))
        await pilot.press("A")
        await pilot.pause()
        site = again._feed.site if again._feed else None
        assert site is not None
        assert site.report().samples.count == counted
        assert site.report().state is SiteState.PAUSED, "its fixes are of 2031: nobody knows that it stands there still"
        assert "unfinished since 2031-05-04" in " ".join(toasts(again))
        await pilot.press("E")
        await pilot.pause()
        assert again.state.snapshot.site.state is SiteState.ENDED
    assert [one.name for one in sorted(tmp_path.glob("averaging.2*"))] == ["averaging.20310504-120008.csv"]


async def test_a_move_is_said_once(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(100, 30)) as pilot:
        app.open(ScriptedOpening(ScriptedSource(())))
        await pilot.press("S")
        assert app._feed
        walking = [
            replace(Epoch(), second=float(n), place=spot(Position(10.5, -20.25 + n * 1.4e-5))) for n in range(40)
        ]
        for one in walking:
            app._feed._model.feed(lines(*one.bodies()), START_S + one.second)
        app._show_site()
        app._tick()
        app._tick()
        await pilot.pause()
        assert sum("being carried" in one for one in toasts(app)) == 1
