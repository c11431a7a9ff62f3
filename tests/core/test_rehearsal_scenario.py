"""Scenarios: what is read, and that every mistake is named with its line and what would be right."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError
from core.places.geodesic import distance_m
from core.rehearsal import scenario as scenario_module
from core.rehearsal.path import duration_s
from core.rehearsal.receiver import ReceiverConfig
from core.rehearsal.scenario import LONGEST_TITLE, Scenario, read_scenario
from core.rehearsal.tracking import Start

REPLAYS = Path(__file__).parents[2] / "replays"
BUNDLED = sorted(path for path in REPLAYS.glob("*.toml") if not path.name.endswith(".chapters.toml"))
TITLE, CALL, START = 'title = "A walk"\n', 'call = "QX1ABC"\n', "start = 2027-05-15T09:00:00Z\n"
PLACE = '[[path]]\nat = "41 N 179.9 E"\npause_s = 60\n'
NEXT = '[[path]]\nat = "41.001 N 179.9 E"\n'
TOP = TITLE + CALL + START
"""Three lines; what follows begins with line 4."""


def read(text: str) -> Scenario:
    return read_scenario(text, "walk.toml")


def test_what_is_left_out_is_as_usual() -> None:
    found = read(TOP + PLACE)
    assert (found.title, found.call, found.rate_hz, found.seed) == ("A walk", "QX1ABC", 1, 1)
    assert found.start == datetime(2027, 5, 15, 9, tzinfo=UTC)
    assert found.receiver == ReceiverConfig()
    assert found.events == ()
    assert duration_s(found) == 60.0


def test_what_is_given_counts() -> None:
    found = read(
        TITLE
        + CALL
        + "start = 2027-05-15T11:00:00+02:00\nrate_hz = 10\nseed = 7\n"
        + '[receiver]\nsystems = "CG"\nstart = "hot"\nsbas = false\nbase_station = 7\nminute_decimals = 7\n'
        + "[around.wood]\ntrees_db = 12\nwalls = [[-10, 20, 30.5]]\n"
        + '[[path]]\nat = "geo:41,179.9"\nheight_m = 10\nspeed_mps = 1.5\naround = "wood"\n'
        + NEXT
        + '[[path]]\nat = "41.002 N 179.9 E"\nheight_m = 20\n'
        + '[[event]]\nwhat = "outage"\nfrom_s = 10\n'
    )
    assert found.start == datetime(2027, 5, 15, 9, tzinfo=UTC)
    assert (found.rate_hz, found.seed, found.manner.minute_decimals) == (10, 7, 7)
    assert (found.receiver.systems, found.receiver.start, found.receiver.base_station) == ("GC", Start.HOT, "0007")
    assert [stop.height_m for stop in found.stops] == [10.0, 10.0, 20.0]
    assert {stop.speed_mps for stop in found.stops} == {1.5}
    assert {stop.around.plain.canopy_db for stop in found.stops} == {12.0}
    assert found.stops[0].around.plain.wall_deg(355.0) == 30.5
    assert found.events[0].to_s > 1e9


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[path\n", "walk.toml is no TOML"),
        ("[" * 5000, "is no TOML"),
        (f"seed = {'9' * 5000}\n", "is no TOML"),
        (TOP, "line 1: path has 0 places"),
        (TOP + "titel = 1\n" + PLACE, "line 4: titel is not known: did you mean title?"),
        (CALL + START + PLACE, "title is missing"),
        ('title = "a\\u001b[2J"\n' + CALL + START + PLACE, "line 1: title is"),
        ('title = "a, b"\n' + CALL + START + PLACE, "without ! $ * , "),
        (f'title = "{"x" * (LONGEST_TITLE + 1)}"\n' + CALL + START + PLACE, "give 1 to 50"),
        ('title = ""\n' + CALL + START + PLACE, "line 1: title is ''"),
        (TITLE + 'call = "X1ABC"\n' + START + PLACE, "line 2: call is 'X1ABC': an invented call sign"),
        (TITLE + CALL + PLACE, "start is missing: date and time to the second in UTC"),
        (TITLE + CALL + "start = 2027-05-15T09:00:00\n" + PLACE, "line 3: start is"),
        (TITLE + CALL + "start = 2027-05-15\n" + PLACE, "line 3: start is"),
        (TITLE + CALL + "start = 2027-05-15T09:00:00.5Z\n" + PLACE, "to the second"),
        (TITLE + CALL + "start = 1999-05-15T09:00:00Z\n" + PLACE, "line 3: start is in 1999: give a year from 2001"),
        (TOP + "rate_hz = 11\n" + PLACE, "line 4: rate_hz is 11: a number from 1 to 10 is wanted"),
        (TOP + "rate_hz = 1.5\n" + PLACE, "rate_hz is 1.5: a whole number is wanted"),
        (TOP + "rate_hz = nan\n" + PLACE, "rate_hz is nan"),
        (TOP + "rate_hz = true\n" + PLACE, "rate_hz is True"),
        (TOP + f"seed = 0x{'f' * 5000}\n" + PLACE, "seed is a number without end"),
        (TOP + "receiver = 3\n" + PLACE, "line 4: receiver must be a table: [receiver]"),
        (TOP + '[receiver]\nstrat = "hot"\n' + PLACE, "line 5: strat is not known: did you mean start?"),
        (TOP + '[receiver]\nstart = "colt"\n' + PLACE, "line 5: start is 'colt': did you mean cold?"),
        (TOP + '[receiver]\nsystems = "GPS"\n' + PLACE, "line 5: systems is 'GPS': letters of GREC"),
        (TOP + '[receiver]\nsystems = "GG"\n' + PLACE, "each once"),
        (TOP + "[receiver]\nsbas = 1\n" + PLACE, "line 5: sbas is 1: true or false is wanted"),
        (TOP + "[receiver]\nrollovers = 3\n" + PLACE, "line 5: rollovers is 3: at this start"),
        (TOP + PLACE + "[[path]]\nheight_m = 2\n", "line 7: at is missing"),
        (TOP + PLACE + NEXT, "line 7: the way to this place has no speed"),
        (TOP + PLACE + "speed_mps = 1\n" + PLACE, "line 9: at is the place before"),
        (TOP + PLACE + "speed_mps = 0\n" + NEXT, "line 7: speed_mps is 0: a number from 0.05 to 350"),
        (TOP + PLACE + "speed_mph = 3\n", "line 7: speed_mph is not known: did you mean speed_mps?"),
        (TOP + '[[path]]\nat = "nowhere"\n', "line 5: at is not understood"),
        (TOP + "[[path]]\nat = 41\n", "line 5: at is 41: a text is wanted, as '41 02.100 N"),
        (TOP + '[[path]]\nat = "41 N 179.9 E"\n', "line 4: the path takes less than a second"),
        (TOP + PLACE + "speed_mps = 0.05\n" + '[[path]]\nat = "42 N 179.9 E"\n', "line 8: the path takes 617.0 hours"),
        (TOP + "path = [1]\n", "line 4: path must be tables: [[path]]"),
        (TOP + 'around = "wood"\n' + PLACE, "line 4: around must be a table"),
        (TOP + "[around.wood]\ntree_db = 3\n" + PLACE, "line 5: tree_db is not known: did you mean trees_db?"),
        (
            TOP + "[around.wood]\ntrees_db = 3\n" + PLACE + 'around = "woods"\n',
            "line 9: around is 'woods': did you mean",
        ),
        (TOP + "[around.lane]\nstreet_width_m = 3\n" + PLACE, "line 4: a street needs street_height_m and"),
        (TOP + "[around.lane]\nstreet_width_m = 3\nstreet_height_m = 3\n" + PLACE + 'around = "lane"\n', "is a street"),
        (TOP + "[around.x]\nwalls = [[1, 2]]\n" + PLACE, "line 5: walls is [[1, 2]]: walls are wanted as"),
        (TOP + "[around.x]\nwalls = [[1, 2, nan]]\n" + PLACE, "walls are wanted as"),
        (TOP + "[around.x]\nwalls = [[1, 1, 20]]\n" + PLACE, "line 5: walls will not do"),
        (TOP + PLACE + '[[event]]\nwhat = "outtage"\nfrom_s = 1\n', "line 8: what is 'outtage': did you mean outage?"),
        (TOP + PLACE + '[[event]]\nwhat = "outage"\n', "line 7: from_s is missing: give a number"),
        (
            TOP + PLACE + '[[event]]\nwhat = "outage"\nfrom_s = 60\n',
            "line 9: from_s is 60, and the path ends after 60 s",
        ),
        (TOP + PLACE + '[[event]]\nwhat = "outage"\nfrom_s = 9\nto_s = 9\n', "line 10: to_s is 9, and from_s 9"),
    ],
)
def test_what_is_wrong_is_named(text: str, said: str) -> None:
    with pytest.raises(InputError) as error:
        read(text)
    assert said in str(error.value)
    assert str(error.value).startswith("walk.toml")
    assert len(str(error.value)) < 500


@given(st.text(max_size=60), st.sampled_from(["", TOP, TOP + PLACE, TOP + "[receiver]\n", TOP + "[around.a]\n"]))
def test_whatever_is_written_is_read_or_refused(text: str, before: str) -> None:
    try:
        read(before + text)
    except InputError as error:
        assert str(error).startswith("walk.toml")


@given(
    st.recursive(st.integers() | st.floats() | st.booleans() | st.text(max_size=5).map(repr), st.lists, max_leaves=5)
)
def test_no_value_of_the_wrong_kind_does_harm(value: object) -> None:
    written = str(value).replace("True", "true").replace("False", "false")
    for key in ("title", "start", "rate_hz", "receiver", "around", "path", "event"):
        with pytest.raises(InputError):
            read(f"{key} = {written}\n")


# The bundled ones


@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.stem)
def test_the_bundled_scenarios_play_in_one_invented_landscape(path: Path) -> None:
    found = read_scenario(path.read_text("utf-8"), path.name)
    home = read_scenario(BUNDLED[0].read_text("utf-8"), "home").stops[0].position
    assert max(distance_m(home, stop.position) for stop in found.stops) < 30_000.0
    assert found.geoid_separation_m == 14.0
    assert re.fullmatch(r"Q[A-Z0-9]+", found.call)
    assert 300.0 <= duration_s(found) <= 14_400.0


def test_there_are_eight_and_no_two_alike() -> None:
    found = [read_scenario(path.read_text("utf-8"), path.name) for path in BUNDLED]
    assert len(found) == 8
    assert (
        len({one.title for one in found}) == len({one.call for one in found}) == len({one.seed for one in found}) == 8
    )


def test_the_example_in_the_documentation_is_one() -> None:
    """With a second place to go to, which it leaves out."""
    text = scenario_module.__doc__ or ""
    example = "\n".join(line[4:] for line in text.splitlines() if line.startswith("    "))
    found = read(example + '\n[[path]]\nat = "41 02.400 N 179 52.000 E"\n')
    assert found.receiver == ReceiverConfig()
    assert [event.what for event in found.events] == ["outage"]
