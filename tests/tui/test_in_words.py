"""The state in words: every fact of the panes, one a line, with its name; unknown is said; foreign text is safe."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from core.aged import Aged
from core.chapters import Chapter, Chapters
from core.events import Event, EventKind
from core.feed_status import FeedState, FeedStatus
from core.logbook import RecorderState, RecorderStatus
from core.navigator import Going
from core.outing import Outing
from core.power import Power
from core.safe_text import one_cell_each, one_line
from core.site import SiteReport
from core.sources.source import SourceKind, SourceState, SourceStatus
from core.timeline import Timeline
from core.units import METRIC, SYSTEMS, use
from tests.build import lines as sentences
from tests.sites import begun, stood
from tests.tui.support import (
    ISLE,
    REPLAYING,
    SETTLED,
    START_S,
    Epoch,
    board_state,
    judging_model,
    played,
    position_pane,
    walked,
)
from tests.tui.test_panes_hostile import NASTY, assert_harmless
from tui.bearings import Reference
from tui.in_words import Asked, state_lines
from tui.panes.fix import FixPane
from tui.panes.goto import CAUTION, GoToPane
from tui.panes.position import PositionPane
from tui.panes.trip import TripPane
from tui.spoken_rows import NOT_KNOWN, pane_rows
from tui.state import BoardState

ASKED = Asked(datetime(2031, 5, 4, 13, 0, tzinfo=UTC), UTC)
LOST = board_state(played(*(Epoch(second=float(n)) for n in range(4)), Epoch(second=5.0, valid=False)), target=ISLE)
HELD = board_state(walked(3), status=SourceStatus(SourceKind.HELD, "Old quay", SourceState.HOLDING))
FROM_A_FILE = board_state(walked(3), status=replace(REPLAYING, kind=SourceKind.TRACK))
EVERYTHING = SETTLED.changed(
    target=ISLE,
    then=(replace(ISLE, name="Far skerry"),),
    reference=Reference.GRID,
    timeline=Timeline(75.0, 300.0, 300.0, 1.0),
    chapters=Chapters((Chapter(60.0, "The gate"),)),
    recorder=RecorderStatus(RecorderState.RECORDING, Path("walk.nmea"), 2_500_000),
    feeding=FeedStatus(FeedState.ON, ("tcp:10110",), 2, is_open=True),
    sending="texts 3",
    is_saving=True,
    power=Power(True, 61),
)
STATES = {
    "nothing yet": BoardState(),
    "a fix": SETTLED,
    "no fix any more": LOST,
    "stale": board_state(age_s=4.0, target=ISLE),
    "gone": board_state(age_s=40.0, target=ISLE),
    "held": HELD,
    "positions only": FROM_A_FILE,
    "simulated": board_state(walked(4, Epoch(mode="S", quality="8"))),
    "dead reckoning": board_state(walked(4, Epoch(mode="E", quality="6"))),
    "no date": board_state(walked(4, Epoch(time=False))),
    "everything": EVERYTHING,
}
every = pytest.mark.parametrize("state", STATES.values(), ids=STATES.keys())


def told(state: BoardState) -> list[str]:
    return state_lines(state, ASKED)


def values(state: BoardState, name: str) -> list[str]:
    """What is said under a name."""
    return [line.removeprefix(f"{name}: ") for line in told(state) if line.startswith(f"{name}: ")]


def value(state: BoardState, name: str) -> str:
    (found,) = values(state, name)
    return found


@every
def test_each_line_is_a_name_and_a_value_and_no_drawing(state: BoardState) -> None:
    found = told(state)
    assert found[0] == "state at: 2031-05-04 13:00:00 UTC by this computer's clock"
    for line in found:
        assert line == "" or re.fullmatch(r"[^:\s][^:]*: \S.*", line), line
        assert "  " not in line
        assert not line.endswith((": -", ":")), line
        assert not re.search(r"[\u2500-\u259f\u2800-\u28ff]", line), line
    assert f"caution: {CAUTION}" in found


@every
def test_no_two_lines_say_different_things_under_a_name_that_is_one_fact(state: BoardState) -> None:
    for name in ("verdict", "position", "datum", "speed", "course", "fix", "target", "recorder", "feed", "power"):
        assert len(values(state, name)) <= 1, name


@every
def test_whatever_the_panes_say_is_said(state: BoardState) -> None:
    """Word for word; but the first block of the position, which is told in every notation instead."""
    text = "\n".join(told(state))
    position = pane_rows(position_pane(), state)
    rest = position[position.index(()) :] if () in position else []
    going = pane_rows(GoToPane(), state) if state.target else []
    for row in (*rest, *pane_rows(FixPane(), state), *going, *pane_rows(TripPane(), state)):
        for words in (words for span in row[-1:] for words in re.split(r"\s{2,}", span.text.strip())):
            # A row with two dilutions is two lines.
            assert words in {"", "-"} or words in text or words.replace(" ", ": ") in text, words


def test_a_pane_that_is_on_no_screen_is_asked_for_this_state() -> None:
    assert any("1.5 m/s" in span.text for row in pane_rows(PositionPane(), SETTLED) for span in row)


def test_a_fix_is_told_with_its_units_and_references() -> None:
    assert value(SETTLED, "verdict") == "firm"
    assert value(SETTLED, "error") == "about 6.9 m (95 %)"
    assert value(SETTLED, "position") == "current"
    assert value(SETTLED, "position in degrees") == "10.50000° N 020.25000° W"
    assert value(SETTLED, "position in degrees and minutes") == "10° 30.000' N 020° 15.000' W"
    assert value(SETTLED, "position in degrees, minutes and seconds") == "10° 30' 00.0\" N 020° 15' 00.0\" W"
    assert value(SETTLED, "position in UTM") == "27P 582070 1160793"
    assert value(SETTLED, "position in MGRS") == "27P WM 82070 60792"
    assert value(SETTLED, "locator") == "HK90vm00aa"
    assert value(SETTLED, "datum") == "WGS 84, no other is named"
    assert values(SETTLED, "height") == ["12.5 m, mean sea level", "42.5 m, ellipsoid"]
    assert value(SETTLED, "time UTC") == "12:00:11, 2031-05-04"
    assert value(SETTLED, "time zone") == "UTC, UTC+0000"
    assert value(SETTLED, "speed") == "1.5 m/s, 5.4 km/h"
    assert value(SETTLED, "course") == "090° true"
    assert value(SETTLED, "fix") == "autonomous, 3D"
    assert value(SETTLED, "satellites in the fix") == "9 of 11 in view"
    assert [value(SETTLED, name) for name in ("HDOP", "PDOP", "VDOP")] == ["1.0", "2.0", "1.7"]


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ("0.6,0.5,1.2", "north 0.6 m, east 0.5 m, up 1.2 m, by the receiver"),
        ("0.6,0.5,", "north 0.6 m, east 0.5 m, up not known, by the receiver"),
    ],
)
def test_each_figure_of_the_noise_has_its_axis(figures: str, words: str) -> None:
    state = board_state(walked(4, Epoch(more=(f"GNGST,120003.00,7.5,,,,{figures}",))))
    assert value(state, "noise, one sigma") == words
    assert values(state, "remark on the fix") == []


def test_a_foreign_datum_is_named() -> None:
    snapshot = walked()
    state = board_state(replace(snapshot, fix=snapshot.fix._replace(datum="EUR")))
    assert value(state, "datum") == "EUR, named by the receiver"
    assert "datum EUR: not WGS 84" in values(state, "remark on the fix")


def test_nothing_yet_is_not_known_and_never_nought() -> None:
    state = BoardState()
    for name in ("error", "time UTC", "time local", "time zone", "speed", "height", "HDOP", "sky", "power", "battery"):
        assert value(state, name) == NOT_KNOWN, name
    assert value(state, "position") == "not known, no fix yet"
    assert value(state, "course") == "no fix: no course"
    assert value(state, "target") == "none"
    assert value(state, "what to do") == "o opens a receiver, a recording or the network"
    assert value(state, "receiver says") == "nothing"
    assert not any(line.startswith("position in ") for line in told(state))


def test_what_only_grey_tells_on_the_screen_is_told_in_words() -> None:
    assert value(LOST, "position") == "not current, 2 s old"
    for name in ("position in degrees", "position in UTM", "locator", "speed", "HDOP", "PDOP", "distance", "bearing"):
        assert value(LOST, name).endswith(", not current"), name
    assert [one.rpartition(", ")[2] for one in values(LOST, "height")] == ["not current", "not current"]
    assert value(LOST, "turn") == NOT_KNOWN
    assert value(LOST, "advice") == "stand still in the open"


def test_a_held_place_and_a_file_s_positions_are_never_a_fix() -> None:
    assert value(HELD, "source") == "HELD PLACE, Old quay"
    assert value(HELD, "verdict") == "HELD PLACE, a saved place and not a measurement"
    assert value(HELD, "position").endswith("HELD PLACE")
    assert value(HELD, "fix") == "held place, no receiver"
    assert "nothing to average" in value(HELD, "averaging")
    assert value(FROM_A_FILE, "source").startswith("REPLAY, POSITIONS ONLY, ")
    assert value(FROM_A_FILE, "position") == "current, FROM A FILE"
    assert value(FROM_A_FILE, "fix") == "of a file, quality unknown"


def test_where_a_replay_stands() -> None:
    assert value(EVERYTHING, "source is") == "playing"
    assert value(EVERYTHING, "replay pace") == "1x"
    assert (value(EVERYTHING, "replay at"), value(EVERYTHING, "replay length")) == ("0:01:15", "0:05:00")
    assert value(EVERYTHING, "chapter") == "The gate"


def test_the_way_to_the_target_names_its_north() -> None:
    assert value(EVERYTHING, "target") == ISLE.name
    assert value(EVERYTHING, "distance") == "1.56 km"
    assert value(EVERYTHING, "bearing").endswith("° grid")
    assert value(EVERYTHING, "turn").endswith("left")


def test_eta_cross_track_and_what_counts_as_arrived() -> None:
    from core.navigator import Goal, Route

    route = Route((Goal(ISLE.name, ISLE.position, 5.0),))
    going = Going(route, closing_mps=1.4, eta_s=900.0, cross_track_m=-25.0, radius_m=12.0, goal_error_m=5.0)
    state = SETTLED.changed(target=ISLE, route=route, snapshot=replace(SETTLED.snapshot, going=going))
    assert value(state, "ETA") == "in 15 min 00 s, 12:15 UTC"
    assert value(state, "cross-track") == "25 m left of the leg"
    assert value(state, "closing speed") == "1.4 m/s, 5.0 km/h"
    assert values(state, "counts as arrived") == ["within 12 m", "mark +-5.0 m, now not known"]


def test_the_sky_as_a_list_the_strongest_first() -> None:
    found = [line for line in told(SETTLED) if line.startswith("satellite ")]
    assert len(found) == 11
    assert found[0] == "satellite G24: elevation 75°, azimuth 200° true, C/N0 46 dB-Hz, in the fix"
    assert found[-1] == "satellite G28: elevation 18°, azimuth 310° true, not tracked, not in the fix"


def test_a_satellite_s_direction_that_is_not_said_is_not_known() -> None:
    sky = SETTLED.snapshot.sky
    assert sky is not None
    blind = replace(
        SETTLED.snapshot, sky=Aged((sky.value[0]._replace(elevation_deg=None, azimuth_deg=None),), *sky[1:])
    )
    (found,) = [line for line in told(SETTLED.changed(snapshot=blind)) if line.startswith("satellite ")]
    assert "elevation not known, azimuth not known" in found


def test_a_trip_s_totals_and_the_time_to_turn_back() -> None:
    model = judging_model(Outing())
    for n in range(120):
        place = f"1030.{n * 8:04d},N,02015.0000,W"
        model.feed(sentences(*Epoch(second=float(n), place=place, course="0.0").bodies()), START_S + n)
    state = board_state(model.snapshot())
    assert re.fullmatch(r"\d+ m", value(state, "trip"))
    assert "moving" in value(state, "trip time")
    assert "m/s" in value(state, "trip fastest")
    assert value(state, "turn back at the latest") not in {"", NOT_KNOWN}


def test_an_averaging_under_way() -> None:
    site = begun(stood(400))
    report: SiteReport = site.report()
    state = SETTLED.changed(snapshot=replace(SETTLED.snapshot, site=report))
    assert values(state, "averaging")[0].startswith("averaging, ")
    assert "°" in value(state, "averaging mean")
    assert values(state, "averaging 95 %")


def test_recorder_feed_power_and_texts() -> None:
    assert value(EVERYTHING, "recorder") == "recording"
    assert value(EVERYTHING, "recorder file") == "walk.nmea"
    assert value(EVERYTHING, "recorder has written") == "2.5 MB"
    assert value(EVERYTHING, "feed to") == "tcp:10110"
    assert value(EVERYTHING, "feed can be read by") == "anybody who reaches this computer"
    assert value(EVERYTHING, "feed readers") == "2"
    assert value(EVERYTHING, "position texts") == "texts 3"
    assert (value(EVERYTHING, "power"), value(EVERYTHING, "battery")) == ("battery", "61 %")
    assert value(EVERYTHING, "saving power") == "yes"


def test_a_failed_recorder_says_why() -> None:
    state = SETTLED.changed(recorder=RecorderStatus(RecorderState.FAILED, reason="the disk is full: make room"))
    assert value(state, "recorder") == "recording stopped"
    assert value(state, "recorder says") == "the disk is full: make room"
    assert value(state, "recorder file") == NOT_KNOWN


def test_messages_and_events_the_newest_first_and_not_without_end() -> None:
    events = tuple(Event(START_S + n, None, EventKind.MODE, f"number {n}") for n in range(300))
    snapshot = replace(SETTLED.snapshot, texts=("old", "new"), events=events)
    state = SETTLED.changed(snapshot=snapshot)
    assert values(state, "receiver says") == ["new", "old"]
    assert len(values(state, "event")) == 20
    assert values(state, "event")[0].endswith("mode, number 299")
    assert value(BoardState(), "event") == "nothing has happened yet"


def test_the_user_s_units_are_those_of_the_panes() -> None:
    use(SYSTEMS["statute"])
    try:
        assert value(EVERYTHING, "distance") == "0.97 mi"
        assert value(SETTLED, "speed") == "3.3 mph"
        assert value(SETTLED, "error") == "about 23 ft (95 %)"
    finally:
        use(METRIC)


@pytest.mark.parametrize("name", NASTY.values(), ids=NASTY.keys())
def test_text_from_outside_stays_in_its_line(name: str) -> None:
    snapshot = replace(
        SETTLED.snapshot,
        texts=(name,),
        events=(Event(START_S, None, EventKind.MODE, name),),
        fix=SETTLED.snapshot.fix._replace(contradictions=(name,), datum=name, correction_station=name),
    )
    nasty = EVERYTHING.changed(
        snapshot=snapshot,
        target=replace(ISLE, name=name),
        status=replace(REPLAYING, name=name, detail=name, warning=name),
        chapters=Chapters((Chapter(0.0, name),)),
        recorder=RecorderStatus(RecorderState.FAILED, Path(name.replace("\0", "")), reason=name),
        feeding=FeedStatus(FeedState.FAILED, (name,), reason=name),
    )
    found = told(nasty)
    assert len(found) == len("\n".join(found).splitlines())
    assert_harmless([one_cell_each(line) for line in found], 10_000)
    for line in found:
        assert one_line(line) == line
    "\n".join(found).encode()


def test_an_arrival_is_the_notice() -> None:
    from core.navigator import Goal, Route

    route = Route((Goal(ISLE.name, ISLE.position, 5.0),))
    going = Going(route, arrived=True, radius_m=12.0, goal_error_m=5.0, here_error_m=6.9)
    state = SETTLED.changed(target=ISLE, route=route, snapshot=replace(SETTLED.snapshot, going=going))
    assert value(state, "notice").startswith("ARRIVED")
    assert not values(SETTLED, "notice")
