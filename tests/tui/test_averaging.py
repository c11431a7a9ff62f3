"""Averaging by the keys: begin, pause, end, save, compare; what every page says of it. All invented, on open ocean."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from core.averaging import average
from core.benchmark import HeightKind, Mark
from core.fix import Position
from core.places.geodesic import way
from core.site import SiteReport, SiteState
from core.site_file import SiteFile
from core.site_session import SampleView
from core.site_waypoint import site_waypoint, span
from core.sources.player import Player
from core.sources.source import SourceKind, SourceState
from core.waypoints import Waypoint
from tests.build import lines
from tests.sites import begun, stood
from tests.tui.support import (
    REPLAYING,
    SETTLED,
    START_S,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    board_state,
    screen_text,
    show,
    toasts,
    until,
)
from tests.walks import OCEAN, Noise, noisy, standing
from tui.app import FixboardApp
from tui.opening import HeldOpening, Opening
from tui.panes.averaging import MORE, AveragingPane
from tui.panes.place_form import PlaceForm
from tui.screens.prompt import PromptScreen

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


def app_with(folder: Path, seconds: int = 400) -> FixboardApp:
    path = folder / "stood.nmea"
    path.write_bytes(lines(*(body for one in epochs(seconds) for body in one.bodies())))
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
    await until(pilot, lambda: app.state.snapshot.site.samples.count > 300)
    return app.state.snapshot.site


def page_of(report: SiteReport, size: tuple[int, int] = (60, 50)) -> str:
    """What the page says of it."""
    pane = AveragingPane()
    state = board_state()
    pane.state = state.changed(snapshot=replace(state.snapshot, site=report))
    return "\n".join("".join(span.text for span in row) for row in pane.rows(*size))


@cache
def report_of(seconds: int) -> SiteReport:
    site = begun(stood(seconds, noise=Noise(1.5, 20.0, 0.3)))
    site.stop()
    return site.report()


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
        await pilot.press("B")
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


# The page


def test_the_page_says_what_a_mean_is_worth() -> None:
    report = report_of(900)
    assert report.average
    text = page_of(report, (80, 60))
    assert "ended  14 min  900 fixes" in text
    for name in ("CEP", "DRMS", "R95", "2DRMS"):
        assert text.count(name) >= 2, "a figure and a definition"
    assert report.average.horizontal_95_m is not None, report.average.declined
    assert "random part alone" in text
    assert "takes neighbours for independent" in text
    assert "Never removed: wrong datum" in text


def test_a_declined_interval_is_a_reason_and_no_figure() -> None:
    report = report_of(60)
    found = report.average
    assert found
    declined = replace(found, horizontal_95_m=None, vertical_95_m=None, declined="too short to tell", waiting=())
    text = page_of(replace(report, average=declined))
    assert "none stated: too short to tell" in text
    assert "+-" not in text


def test_digits_follow_the_uncertainty() -> None:
    report = report_of(900)
    found = report.average
    assert found
    coarse, fine = (page_of(replace(report, average=replace(found, horizontal_95_m=m))) for m in (2.0, 0.05))
    assert len(mean_line(fine)) > len(mean_line(coarse))


def mean_line(text: str) -> str:
    (line,) = [one for one in text.splitlines() if one.startswith("mean ")]
    return line


def test_the_direction_from_the_mark_is_in_words() -> None:
    report = report_of(900)
    assert report.position
    north, east = report.position.latitude_deg, report.position.longitude_deg
    mark = Mark("Pillar 7", Position(north + 1e-4, east - 1e-4), 0.0, 0.01, 40.0, HeightKind.SEA_LEVEL)
    text = " ".join(page_of(replace(report, mark=mark)).split())
    # 1e-4 degrees at 10.5 north: 11.06 m of the meridian, 10.95 m of the parallel (WGS 84 radii of curvature).
    assert "the mean lies 10.9 m east and 11.1 m south of it" in text or "10.9 m east and 11.1 m south" in text
    assert "135° true" in text
    assert "the mean is 20.0 m below it" in text


@pytest.mark.parametrize("size", [(39, 20), (60, 37), (80, 57), (20, 6), (10, 2)])
def test_every_size_says_the_mean_first_and_names_what_is_missing(size: tuple[int, int]) -> None:
    report = report_of(900)
    text = page_of(replace(report, mark=Mark("Pillar 7", OCEAN)), size)
    assert len(text.splitlines()) <= size[1]
    if size[1] >= 20:
        assert "mean" in text
    if size == (39, 20):
        assert text.splitlines()[-1] == "bias stays; more on a taller terminal"


@pytest.mark.parametrize("height", range(1, 60))
def test_whatever_is_cut_is_named_as_missing(height: int) -> None:
    """At every height, also where a block just fits."""
    everything = [one for one in page_of(report_of(900), (39, 500)).splitlines() if one]
    shown = [one for one in page_of(report_of(900), (39, height)).splitlines() if one]
    assert len(shown) <= height
    whole = height >= len(everything)
    assert shown == everything if whole else shown == [*everything[: height - 1], MORE]


def test_nothing_begun_tells_how_to_begin_and_what_it_is_good_for() -> None:
    text = " ".join(page_of(SiteReport()).split())
    assert "S begins an averaging" in text
    assert "Never removed" in text


# The waypoint


def test_the_waypoint_carries_the_method() -> None:
    report = report_of(900)
    found = report.average
    assert found
    told = replace(found, horizontal_95_m=0.42, correlation_s=62.4, effective_count=28.7, outliers=(3, 4), declined="")
    saved = site_waypoint(replace(report, average=told), ["Average 1 12:00 UTC"], "invented")
    assert saved.name == "Average 2 12:14 UTC"
    assert saved.error_95_m == 0.42
    assert saved.mode == "autonomous"
    assert saved.altitude_m == pytest.approx(20.0, abs=0.1)
    assert saved.note.startswith("mean of 898 fixes in 14 min, correlation 62 s, effective 29, 2 outliers out")
    assert "0.42 m, 95 %, random part: not in it wrong datum" in saved.note
    assert saved.note.endswith("invented")


def test_a_declined_interval_leaves_the_error_of_a_single_fix_and_says_why() -> None:
    report = report_of(60)
    found = report.average
    assert found
    told = replace(found, horizontal_95_m=None, declined="too short")
    saved = site_waypoint(replace(report, average=told), [])
    assert saved.error_95_m == report.error_95_m == 7.0
    assert "no uncertainty of the mean stated (too short)" in saved.note
    assert "that of a single fix, 7.0 m" in saved.note


@pytest.mark.parametrize(("seconds", "words"), [(45.9, "45 s"), (60, "1 min"), (3599, "59 min"), (3600, "1 h 0 min")])
def test_a_length_of_time_in_words(seconds: float, words: str) -> None:
    assert span(seconds) == words


def test_the_view_of_samples_is_not_copied() -> None:
    report = report_of(60)
    assert isinstance(report.samples, SampleView)
    assert average(list(report.samples.points)).count == report.samples.count
