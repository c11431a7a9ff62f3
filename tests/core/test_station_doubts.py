"""What a list of stations may have wrong, and what only looks wrong. Stations are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.errors import InputError
from core.fix import Position
from core.locations import NO_HOME, Locations, locations, own_locations
from core.station_lists.audit import Said, duplicates, frequency_doubts, shift_doubts, tone_doubts, twins
from core.stations import Doubt, Station

REPEATER = Station("Q1ABC", output_hz=145_600_000, input_hz=145_000_000, mode="FM", row=1)
UNSAID = Said(None, input_given=False)


@pytest.mark.parametrize(
    ("station", "said", "doubt"),
    [
        (REPEATER, UNSAID, None),
        (REPEATER, Said(-600_000, input_given=True), None),
        (REPEATER, Said(600_000, input_given=True), "the input is -0.6 MHz from the output, the shift says +0.6"),
        (REPEATER._replace(input_hz=None), Said(-600_000, input_given=False), None),
        (REPEATER._replace(output_hz=None), UNSAID, None),
        (REPEATER._replace(input_hz=143_000_000), UNSAID, "the input 143 MHz is outside the 2 m band"),
        (REPEATER._replace(input_hz=155_000_000), UNSAID, "a shift of +9.4 MHz leads out of the 2 m band"),
        (REPEATER._replace(output_hz=162_550_000, input_hz=1), UNSAID, None),
        (REPEATER._replace(input_hz=144_000_000), UNSAID, None),
    ],
)
def test_where_a_station_cannot_listen(station: Station, said: Said, doubt: str | None) -> None:
    """In no amateur band nobody knows what a shift may be; the ends of a band belong to it."""
    found = [*shift_doubts(station, said)]
    assert [doubt is not None and one.startswith(doubt) for one in found] == ([True] if doubt else [])


@pytest.mark.parametrize(
    ("output_hz", "doubts"), [(145_600_000, []), (None, []), (162_550_000, ["162.55 MHz is in no amateur band"])]
)
def test_a_frequency_of_another_service_is_only_a_doubt(output_hz: int | None, doubts: list[str]) -> None:
    assert [*frequency_doubts(REPEATER._replace(output_hz=output_hz))] == doubts


@pytest.mark.parametrize(
    ("tone", "doubts"),
    [
        ("", []),
        ("88.5", []),
        ("CTCSS 88,5 Hz", []),
        ("88", []),
        ("CC1", []),
        ("D023", []),
        ("1750", []),
        ("59.9", []),
        ("88.4", ["88.4 Hz is no usual tone; the nearest is 88.5"]),
        ("93", ["93 Hz is no usual tone; the nearest is 91.5"]),
        ("T 255.0", ["255 Hz is no usual tone; the nearest is 254.1"]),
    ],
)
def test_only_what_looks_like_a_tone_is_held_against_the_usual_ones(tone: str, doubts: list[str]) -> None:
    assert [*tone_doubts(REPEATER._replace(tone=tone))] == doubts


HERE, NEAR, FAR = Position(10.5, 179.99), Position(10.52, -179.98), Position(10.6, 179.99)


@pytest.mark.parametrize(
    ("first", "second", "are_one"),
    [
        ({}, {}, True),
        ({"call": "q1abc"}, {"mode": "fm"}, True),
        ({"position": HERE}, {"position": NEAR}, True),
        ({"position": HERE}, {"position": FAR}, False),
        ({"position": HERE}, {}, False),
        ({"output_hz": 145_625_000}, {}, False),
        ({"call": "", "name": ""}, {"call": "", "name": ""}, False),
        ({"call": "", "name": "Quill Hill"}, {"call": "", "name": "Quill Hill"}, True),
    ],
)
def test_rows_that_say_the_same_of_one_place_are_one_station(
    first: dict[str, object], second: dict[str, object], are_one: bool
) -> None:
    """Also across the antimeridian: these are three kilometres from each other."""
    rows = [REPEATER._replace(**first), REPEATER._replace(row=2, **second)]  # type: ignore[arg-type]  # as fields have it
    assert [(late.row, early.row) for late, early in twins(rows)] == ([(2, 1)] if are_one else [])
    assert [(one.doubt, one.row) for one in duplicates(rows)] == ([(Doubt.DUPLICATE, 2)] if are_one else [])


def test_a_call_at_many_places_stays_quick_and_says_nothing_false() -> None:
    """A gateway network has one call on hundreds of hills: past eight places of it none is compared any more."""
    rows = [REPEATER._replace(position=Position(10.0 + n, 20.0), row=n) for n in range(60)]
    assert not [*twins(rows)]
    assert [(late.row, early.row) for late, early in twins([*rows, rows[3], rows[40]])] == [(3, 3)]


# Where the lists lie


def test_without_a_home_the_files_lie_nowhere(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a container: HOME is not set, and the system does not know this user."""

    def unknown() -> Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.setattr(Path, "home", unknown)
    assert NO_HOME in own_locations({}, "linux").data.parents
    assert own_locations({"FIXBOARD_DATA": "/chosen"}, "linux") == Locations(Path("/chosen"))


def test_the_home_of_somebody_unknown_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="there is no such home folder, name another"):
        locations({"FIXBOARD_DATA": "~nobody-of-that-name/kept"}, "linux", Path("/home/q0abc"))
