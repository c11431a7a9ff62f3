"""Every command that has to do with places does what its line of help says: marks, ways, handing on, averaging."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from functools import partial
from pathlib import Path

import pytest

from core.sources.source import SourceKind
from core.waypoints import GPX
from tests.tui.commands_support import Bench, Check, enrolled, on_bench
from tests.tui.support import HERE, screen_text, toasts, until
from tui.panes.place_list import PlaceListPane
from tui.screens.beam import BeamScreen
from tui.screens.board import BoardScreen
from tui.screens.places import PlacesScreen
from tui.screens.qr import QrScreen
from tui.screens.stations import StationsScreen

CHECKS: dict[str, Check] = {}
checks = partial(enrolled, CHECKS)


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
    await bench.pilot.click(PlaceListPane, offset=(3, 4), times=2)
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


@checks("find_nearest")
async def nearest_stations(bench: Bench) -> None:
    (bench.folder / "stations").mkdir()
    (bench.folder / "stations" / "mine.csv").write_text("call,lat,lon\nQX1AA,10.6,-20.25\n")
    await bench.press("F")
    await until(bench.pilot, lambda: "QX1AA" in screen_text(bench.app))
    assert isinstance(bench.app.screen, StationsScreen)
    await bench.press("escape")
    assert bench.dialogue() is BoardScreen


@pytest.mark.parametrize("check", dict.fromkeys(CHECKS.values()), ids=lambda check: check.__name__)
async def test_commands(check: Check, tmp_path: Path) -> None:
    await on_bench(check, tmp_path)
