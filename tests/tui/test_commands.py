"""Every command of the board does what its line of help says: by key, and on the model, the disk and the messages."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Awaitable, Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest
from textual.pilot import Pilot
from textual.screen import Screen

from core.fix import Position
from core.logbook import RecorderState
from core.memory import recall
from core.places.notation import Notation
from core.sources.source import SourceKind, SourceState
from core.waypoints import GPX, Waypoint
from tests.build import lines
from tests.tui.support import (
    HERE,
    ISLE,
    REPLAYING,
    SETTLED,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    board_state,
    played,
    screen_text,
    show,
    toasts,
    until,
    walked,
)
from tui.app import FixboardApp
from tui.bearings import Reference, bearing_words
from tui.commands import COMMANDS
from tui.opening import Opening
from tui.panes.charts import SPANS_S
from tui.panes.place_list import PlaceListPane
from tui.panes.wire import WirePane
from tui.screens.beam import BeamScreen
from tui.screens.board import PAGES, BoardScreen
from tui.screens.chooser import ChooserScreen
from tui.screens.explain import ExplainScreen
from tui.screens.help import HelpScreen
from tui.screens.in_words import InWordsScreen
from tui.screens.places import PlacesScreen
from tui.screens.qr import QrScreen
from tui.screens.say import SayScreen
from tui.screens.settings import SettingsScreen
from tui.screens.stations import StationsScreen
from tui.state import Orientation

MANY = 12
"""More steps than there are paces."""


class Bench(NamedTuple):
    """What a check works with."""

    app: FixboardApp
    pilot: Pilot[None]
    folder: Path

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()

    @property
    def kept(self) -> str:
        return (self.folder / "board.toml").read_text("utf-8")

    def turned(self) -> Orientation:
        return self.app.state.turned_by

    def recorder(self) -> RecorderState:
        return self.app.state.recorder.state

    def dialogue(self) -> type[Screen[object]]:
        return type(self.app.screen)

    def marks(self) -> list[Waypoint]:
        return list(self.app.session.waypoints)


Check = Callable[[Bench], Awaitable[None]]
CHECKS: dict[str, Check] = {}


def checks(*commands: str) -> Callable[[Check], Check]:
    def enrol(check: Check) -> Check:
        CHECKS.update(dict.fromkeys(commands, check))
        return check

    return enrol


PANES = {
    "board": {"position", "fix", "goto", "sky", "compass", "wire"},
    "trail": {"trail", "profile"},
    "averaging": {"averaging", "scatter"},
    "ab": {"ab-sky-a", "ab-sky-b", "ab", "ab-strip"},
    "sky": {"sky-plot", "what-if"},
}
PAGE_COMMANDS = [command for command in COMMANDS if command.id.startswith("page_")]


@checks(*(command.id for command in PAGE_COMMANDS))
async def pages(bench: Bench) -> None:
    expected = {command.key[0]: command.id.removeprefix("page_") for command in PAGE_COMMANDS}
    assert sorted(expected.values()) == sorted(PAGES)
    for key, page in expected.items():
        await bench.press(key)
        assert bench.app.board.page == page
        shown = {pane.id for pane in bench.app.board.query("#panes CanvasPane") if pane.region}
        assert shown == PANES.get(page, {page})
    await bench.press("5", "escape")
    assert bench.app.board.page == "board"


@checks("charts_back", "charts_on", "charts_span")
async def charts(bench: Bench) -> None:
    show(bench.app, board_state(walked(100)))
    await bench.press("9", "s", "s")
    assert bench.app.state.chart_span == 3
    await bench.press(*["s"] * (len(SPANS_S) - 3), "left")
    assert (bench.app.state.chart_span, bench.app.state.chart_back_s) == (0, 30.0)
    assert "2 min 00 s up to 30 s ago" in screen_text(bench.app)
    await bench.press("left", "left", "left", "left")
    samples = bench.app.state.snapshot.samples
    assert bench.app.state.chart_back_s == samples[-1].at_s - samples[0].at_s
    await bench.press("right", "right", "right", "right")
    assert bench.app.state.chart_back_s == 0.0
    assert "up to now" in screen_text(bench.app)


@checks("cycle_reference")
async def reference(bench: Bench) -> None:
    for named in ("magnetic", "grid", "true"):
        await bench.press("d")
        assert bench.app.state.reference.value == named
        # The scene plays in 2031, beyond the magnetic model's years: true then, and called so.
        assert bench.app.state.bearing(90.0).endswith("grid" if named == "grid" else "true")
    today = date(2026, 6, 1)
    assert bearing_words(90.0, Reference.MAGNETIC, Position(10.5, -20.25), today).endswith("° magnetic")
    assert bearing_words(90.0, Reference.MAGNETIC, Position(10.5, -20.25), None) == "090° true"


@checks("copy_position")
async def copy_position(bench: Bench) -> None:
    copied: list[str] = []
    bench.app.copy_to_clipboard = copied.append  # type: ignore[method-assign, assignment]  # what OSC 52 would carry
    await bench.press("y")
    assert copied == ["10.50000° N 020.25000° W"]
    assert any("10.50000° N 020.25000° W" in told for told in toasts(bench.app))


@checks("cycle_notation")
async def notation(bench: Bench) -> None:
    for following in (Notation.DEGREES_MINUTES, Notation.DEGREES_MINUTES_SECONDS, Notation.DECIMAL):
        await bench.press("n")
        assert bench.app.state.notation is following
        assert f'notation = "{following.name}"' in bench.kept
    await bench.press("n")
    assert "10° 30.000' N" in screen_text(bench.app)


@checks("turn_compass")
async def turning(bench: Bench) -> None:
    await bench.press("u")
    assert bench.turned() is Orientation.COURSE_UP
    assert "up is 090° true" in screen_text(bench.app)
    await bench.press("u")
    assert bench.app.state.orientation is Orientation.NORTH_UP
    show(bench.app, board_state(walked(4, Epoch(more=("GNHDT,200.0,T",)))))
    await bench.press("u", "u")
    assert bench.turned() is Orientation.HEAD_UP


@checks("cycle_theme")
async def themes(bench: Bench) -> None:
    for following in ("daylight", "night", "dark"):
        await bench.press("c")
        assert bench.app.theme == f"fixboard-{following}"
        assert bench.app.board.palette.name == following
        assert f'theme = "{following}"' in bench.kept


@checks("pause_wire")
async def wire(bench: Bench) -> None:
    pane = bench.app.board.query_one(WirePane)
    await bench.press("w")
    show(bench.app, bench.app.state.changed(snapshot=walked(9)))
    pane.catch_up()
    await bench.pilot.pause()
    assert bench.app.state.wire_paused
    assert "held still  63 taken" in screen_text(bench.app)
    assert "GNRMC,120008.00" not in screen_text(bench.app)
    await bench.press("w")
    pane.catch_up()
    await bench.pilot.pause()
    assert not bench.app.state.wire_paused
    assert "GNRMC,120008.00" in screen_text(bench.app)


@checks("toggle_alert")
async def alert(bench: Bench) -> None:
    await bench.press("a")
    assert bench.app.session.memory.alert == "on"
    await bench.press("a")
    assert bench.app.session.memory.alert == "off"
    assert toasts(bench.app)[-1] == "The bell is silent."


@checks("mark_here")
async def mark(bench: Bench) -> None:
    await bench.press("m")
    assert toasts(bench.app) == ["Marked to about 6.9 m: Mark 1 12:00 UTC."]
    (place,) = ET.parse(bench.folder / "waypoints.gpx").getroot().iter(f"{{{GPX}}}wpt")
    assert (float(place.get("lat", "")), float(place.get("lon", ""))) == pytest.approx(HERE, abs=1e-6)
    assert place.findtext(f"{{{GPX}}}name") == "Mark 1 12:00 UTC"
    assert place.findtext(f"{{{GPX}}}time") == "2031-05-04T12:00:11Z"
    assert place.findtext(f"{{{GPX}}}ele") == "12.50"
    await bench.press("escape", "m", "escape")
    assert [one.name for one in bench.marks()] == ["Mark 1 12:00 UTC", "Mark 2 12:00 UTC"]
    assert bench.app.state.target is None


@checks("go_to_mark")
async def go_to(bench: Bench) -> None:
    await bench.press("g")
    assert bench.app.state.target is None
    assert toasts(bench.app) == ["No mark yet: m marks here."]
    await bench.press("m", "escape", "m", "escape", "g")
    assert bench.app.state.target == bench.marks()[-1]
    assert "Mark 2 12:00 UTC" in bench.kept


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


@checks("list_places")
async def places(bench: Bench) -> None:
    await bench.press("t")
    assert "No waypoint yet: F4 adds one" in screen_text(bench.app)
    await bench.press("escape", *["m", "escape"] * 3, "t")
    assert isinstance(bench.app.screen, PlacesScreen)
    await bench.press("down", "enter")
    assert bench.app.state.target == bench.marks()[1]
    await bench.press("t", "escape")
    assert bench.app.state.target == bench.marks()[1]
    await bench.press("t")
    await bench.pilot.click(PlaceListPane, offset=(3, 3), times=2)
    await bench.pilot.pause()
    assert bench.app.state.target == bench.marks()[2]


@checks("next_leg")
async def next_leg(bench: Bench) -> None:
    await bench.press(*["m", "escape"] * 2, "t", "f6", "down", "f6", "escape")
    assert (bench.app.state.target, bench.app.state.then) == (bench.marks()[0], (bench.marks()[1],))
    await bench.press("j")
    assert (bench.app.state.target, bench.app.state.then) == (bench.marks()[1], ())
    await bench.press("j")
    assert "no further leg" in toasts(bench.app)[-1]


@checks("hold_place")
async def hold(bench: Bench) -> None:
    await bench.press("m", "escape", "k", "f5")
    await until(bench.pilot, lambda: bench.app.state.is_held)
    await bench.press("k")
    await until(bench.pilot, lambda: bench.app.state.status.kind is SourceKind.LIVE)


@checks("drop")
async def out_or_in(bench: Bench) -> None:
    """The other keys of the sky's page: tests/tui/test_what_if.py."""
    await bench.press("b", "delete")
    assert "On the sky's page" in toasts(bench.app)[-1]
    await bench.press("3", "delete")
    assert bench.app.state.sky.mask_deg == 15


@checks("beam_sheet")
async def beam(bench: Bench) -> None:
    """More of it: tests/tui/test_beam.py."""
    await bench.press("m", "escape", "g", "U")
    assert bench.dialogue() is BeamScreen
    await bench.press("escape")


@checks("position_text")
async def handing_on(bench: Bench) -> None:
    """More of it: tests/tui/test_qr.py."""
    await bench.press("Q")
    assert bench.dialogue() is QrScreen
    assert "geo:10.50000,-20.25000" in screen_text(bench.app)
    await bench.press("escape")
    assert bench.dialogue() is BoardScreen


@checks("say_position")
async def giving(bench: Bench) -> None:
    """More of it: tests/tui/test_say.py."""
    await bench.press("G")
    assert isinstance(bench.app.screen, SayScreen)
    assert bench.app.screen.report.forms[0].written == "27P WM 8207 6079"
    await bench.press("escape")


@checks("in_words")
async def in_words(bench: Bench) -> None:
    """More of it: tests/tui/test_in_words_screen.py."""
    await bench.press("I")
    assert isinstance(bench.app.screen, InWordsScreen)
    assert "position in degrees: 10.50000° N 020.25000° W" in bench.app.screen.lines
    await bench.press("escape")


@checks("settings")
async def settings(bench: Bench) -> None:
    """More of it: tests/tui/test_settings_screen.py."""
    await bench.press("Z", *"pin_digits", "enter")
    assert isinstance(bench.app.screen, SettingsScreen)
    assert bench.app.state.pins_digits
    assert "pin_digits = true" in (bench.folder / "settings.toml").read_text("utf-8")
    await bench.press("escape")


@checks("drop_target")
async def drop(bench: Bench) -> None:
    await bench.press("m", "escape", "g", "x")
    assert bench.app.state.target is None
    assert 'route = "[]"' in bench.kept
    assert len(bench.marks()) == 1


@checks(
    *("back_by_trail", "back_to_start", "new_leg", "reset_trip", "undo_reset"),
    *("trail_up", "trail_down", "zoom_in", "zoom_out", "trail_follow", "trail_fit"),
)
async def trip(bench: Bench) -> None:
    """Without a trip each says so, or does nothing; with one: tests/tui/test_trip.py."""
    for key, words in (("f", "No trail"), ("z", "No trail"), ("l", "No trip"), ("f8", "No trip"), ("f9", "No trip")):
        await bench.press(key)
        assert words in toasts(bench.app)[-1]
    await bench.press("p", "up", "down", "pageup", "pagedown", "home", "end")
    assert bench.app.board.page == "trail"


@checks("toggle_averaging", "end_averaging", "save_average", "set_mark")
async def averaging(bench: Bench) -> None:
    """Without a source each says why nothing happens; with one: tests/tui/test_averaging.py."""
    for key in ("S", "E", "W", "B"):
        bench.app.clear_notifications()
        await bench.press(key)
        assert "nothing to average" in toasts(bench.app)[-1]


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


@checks("toggle_stage")
async def stage(bench: Bench) -> None:
    """What is shown there: tests/tui/test_stage.py."""
    await bench.press("V")
    assert bench.app.state.is_stage
    assert bench.app.board.query_one("#stage-head").region
    await bench.press("V")
    assert not bench.app.state.is_stage
    assert not bench.app.board.query_one("#stage-head").region


@checks("find_nearest")
async def nearest_stations(bench: Bench) -> None:
    (bench.folder / "stations").mkdir()
    (bench.folder / "stations" / "mine.csv").write_text("call,lat,lon\nQX1AA,10.6,-20.25\n")
    await bench.press("F")
    await until(bench.pilot, lambda: "QX1AA" in screen_text(bench.app))
    assert isinstance(bench.app.screen, StationsScreen)
    await bench.press("escape")
    assert bench.dialogue() is BoardScreen


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


@checks("help")
async def helping(bench: Bench) -> None:
    for key in ("f1", "h"):
        await bench.press(key)
        assert bench.dialogue() is HelpScreen
        await bench.press("escape")
        assert bench.dialogue() is BoardScreen


@checks("explain_page")
async def explaining(bench: Bench) -> None:
    """On the page of the sentences a sentence: tests/tui/test_explain.py has the rest."""
    await bench.press("2", "H")
    assert bench.dialogue() is ExplainScreen
    assert "Horizontal dilution" in screen_text(bench.app) or "HDOP" in screen_text(bench.app)
    await bench.press("escape")
    assert bench.dialogue() is BoardScreen


@checks("toggle_feed", "toggle_saving")
async def feeding(bench: Bench) -> None:
    """What other programs get, and what saving saves: tests/tui/test_feeding.py."""
    await bench.press("O")
    assert "nothing to feed" in toasts(bench.app)[-1]
    await bench.press("Y")
    assert bench.app.state.is_saving
    await bench.press("Y")
    assert not bench.app.state.is_saving


@checks("quit")
async def leaving(bench: Bench) -> None:
    await bench.press("q")
    assert not bench.app.is_running or bench.app._exit


@checks("next_chapter", "previous_chapter", "add_chapter", "list_chapters")
async def chapters(bench: Bench) -> None:
    """Without a recording they say so; tests/tui/test_chapters.py has what they do with one."""
    show(bench.app, SETTLED)
    for key in "NPMK":
        before = len(toasts(bench.app))
        await bench.press(key)
        assert bench.dialogue() is BoardScreen
        assert len(toasts(bench.app)) == before + 1


def test_every_command_is_checked() -> None:
    assert {command.id for command in COMMANDS} == set(CHECKS)


@pytest.mark.parametrize("check", dict.fromkeys(CHECKS.values()), ids=lambda check: check.__name__)
async def test_commands(check: Check, tmp_path: Path) -> None:
    folder = tmp_path / "data"
    folder.mkdir()
    app = board_app(folder)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        app.board.query_one(WirePane).catch_up()
        await pilot.pause()
        await check(Bench(app, pilot, folder))


# Marking where there is nothing to mark


NO_MARKS = (
    (board_state(walked(3, Epoch(valid=False))), "No current fix"),
    (board_state(age_s=4.0), "No current fix"),
    (board_state(played(Epoch(), Epoch(second=1.0, valid=False))), "No current fix"),
    (board_state(walked(3, Epoch(mode="S", quality="8"))), "simulat"),
    (board_state(walked(3, Epoch(mode="E", quality="6"))), "estimated"),
)


async def test_nothing_is_marked_without_a_current_satellite_fix(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        for state, words in NO_MARKS:
            show(app, state)
            await pilot.press("m")
            await pilot.pause()
            assert words in toasts(app)[-1]
            app.clear_notifications()
        assert not (tmp_path / "waypoints.gpx").exists()


async def test_a_mark_that_cannot_be_saved_is_said_and_the_board_goes_on(tmp_path: Path) -> None:
    app = board_app(tmp_path / "data")
    (tmp_path / "data").write_text("a file where the folder should be")
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, SETTLED)
        await pilot.press("m")
        await pilot.pause()
        assert str(tmp_path / "data") in toasts(app)[-1]
        await pilot.press("n")
        assert app.state.notation is Notation.DEGREES_MINUTES
        assert app.session.waypoints == ()


# What is remembered


async def test_target_notation_and_theme_survive_a_restart(tmp_path: Path) -> None:
    first = board_app(tmp_path, theme="")
    async with first.run_test(size=(80, 24)) as pilot:
        show(first, SETTLED)
        await pilot.press("m", "escape", "g", "n", "c")
        await pilot.pause()
        target = first.state.target
    second = board_app(tmp_path, theme="")
    async with second.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert second.state.target == target
        assert second.state.notation is Notation.DEGREES_MINUTES
        assert second.theme == "fixboard-daylight"


@pytest.mark.parametrize("kept", [b"\xff\xfe", b'theme = "sepia"\nnotation = "x"\ntarget = "none"', b"theme = 3"])
async def test_a_damaged_memory_is_no_memory(tmp_path: Path, kept: bytes) -> None:
    (tmp_path / "board.toml").write_bytes(kept)
    app = board_app(tmp_path, theme="")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert (app.theme, app.state.notation, app.state.target) == ("fixboard-dark", Notation.DECIMAL, None)


async def test_a_target_that_is_gone_from_the_file_is_no_target(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    app.session.keep_route((ISLE,))
    assert ISLE.name in recall(tmp_path / "board.toml").route
    async with board_app(tmp_path).run_test(size=(80, 24)) as pilot:
        assert isinstance(pilot.app, FixboardApp)
        assert pilot.app.state.target is None


# From a feed's thread to the screen


async def test_a_feed_s_newest_snapshot_reaches_the_board(tmp_path: Path) -> None:
    source = ScriptedSource(arrivals_of(*(Epoch(second=float(n)) for n in range(4))))
    app = board_app(tmp_path, ScriptedOpening(source))
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: app.state.snapshot.counts.epochs == 4)
        assert app.state.is_current
        await pilot.pause()
        assert "10.50000° N" in screen_text(app)


async def test_what_cannot_be_opened_is_said_and_the_board_stays(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        state = board_state()
        show(app, state)
        app.open(Opening(tmp_path / "nowhere.nmea"))
        await pilot.pause()
        assert "nowhere.nmea" in toasts(app)[-1]
        assert app.state is state
