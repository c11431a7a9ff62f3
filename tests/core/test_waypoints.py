"""The user's places: nothing of theirs is lost, whoever else writes into the file and whatever the names hold."""

from __future__ import annotations

import errno
import math
import os
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core import waypoints
from core.errors import InputError
from core.fix import FixMode, Position
from core.formats.gpx_document import Document, read_document
from core.storage import replace_file
from core.waypoints import GPX, NAME_LIMIT, NOTE_LIMIT, Waypoint, Waypoints

PLACE = Position(10.5, -20.25)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "waypoints.gpx"


def tag(element: ET.Element) -> str:
    return element.tag.removeprefix(f"{{{GPX}}}")


# Adding and reading


def test_no_file_is_no_waypoints_and_makes_none(file: Path) -> None:
    assert Waypoints(file).all() == ()
    assert not file.exists()


def test_what_is_added_comes_back_from_the_file(file: Path) -> None:
    moment = datetime(2031, 5, 4, 12, 0, 0, tzinfo=UTC)
    one, two = Waypoint("Camp", PLACE, 12.34, moment), Waypoint("Spring", Position(-0.000001, 179.999999999))
    places = Waypoints(file)
    places.add(one)
    places.add(two)
    assert places.all() == Waypoints(file).all() == (one, two)
    assert Waypoints(file).named("Spring") == two
    assert Waypoints(file).named("Sprin") is None


def test_the_element_is_as_the_schema_wants_it(file: Path) -> None:
    Waypoints(file).add(Waypoint("Camp", PLACE, 12.5, datetime(2031, 5, 4, 12, 0, 0, 999_000, tzinfo=UTC)))
    root = ET.fromstring(file.read_bytes())
    assert (root.tag, root.get("version"), bool(root.get("creator"))) == (f"{{{GPX}}}gpx", "1.1", True)
    (waypoint,) = root
    assert tag(waypoint) == "wpt"
    assert waypoint.attrib == {"lat": "10.500000000", "lon": "-20.250000000"}
    found = [(tag(child), child.text) for child in waypoint]
    assert found == [("ele", "12.50"), ("time", "2031-05-04T12:00:00Z"), ("name", "Camp")]
    assert file.read_bytes().startswith(b"<?xml version='1.0' encoding='UTF-8'?>")


@pytest.mark.parametrize(
    ("longitude", "written"),
    [(180.0, "-180.000000000"), (-180.0, "-180.000000000"), (179.9999999999, "-180.000000000")],
)
def test_the_antimeridian_is_written_as_the_schema_allows(file: Path, longitude: float, written: str) -> None:
    Waypoints(file).add(Waypoint("Edge", Position(0.0, longitude)))
    assert ET.fromstring(file.read_bytes())[0].get("lon") == written
    assert Waypoints(file).all()[0].position.longitude_deg == -180.0


@given(st.floats(-90, 90), st.floats(-180, 180), st.floats(-500, 10_000))
def test_figures_are_plain_decimals(
    tmp_path_factory: pytest.TempPathFactory, latitude: float, longitude: float, altitude: float
) -> None:
    file = tmp_path_factory.mktemp("figures") / "w.gpx"
    Waypoints(file).add(Waypoint("x", Position(latitude, longitude), altitude))
    element = ET.fromstring(file.read_bytes())[0]
    for text in (element.get("lat"), element.get("lon"), element.findtext(f"{{{GPX}}}ele")):
        assert text is not None
        assert re.fullmatch(r"-?\d+\.\d+", text)
    assert -180.0 <= float(element.get("lon", "")) < 180.0
    assert float(element.get("lat", "")) == pytest.approx(latitude, abs=1e-9)


@pytest.mark.parametrize("year", [1, 999, 1980, 9999])
def test_years_have_four_digits(file: Path, year: int) -> None:
    moment = datetime(year, 1, 2, 3, 4, 5, tzinfo=UTC)
    Waypoints(file).add(Waypoint("x", PLACE, None, moment))
    assert f"<time>{year:04d}-01-02T03:04:05Z</time>".encode() in file.read_bytes()
    assert Waypoints(file).all()[0].time == moment


FULL = Waypoint(
    "Camp", PLACE, 12.34, datetime(2031, 5, 4, 12, tzinfo=UTC), "By the\nold wall", "camp", 3.125, "rtk_float"
)


def test_all_fields_come_back(file: Path) -> None:
    Waypoints(file).add(FULL)
    assert Waypoints(file).all() == (FULL,)


def test_what_is_returned_is_what_is_kept(file: Path) -> None:
    moment = datetime(2031, 5, 4, 12, 0, 0, 999_999, tzinfo=timezone(timedelta(hours=5)))
    typed = Waypoint(" a" * 100, Position(1 / 3, 180.0), 1 / 3, moment, "n" * 999, "k" * 999, 1 / 3, "hearsay")
    places = Waypoints(file)
    kept = places.add(typed)
    assert kept == Waypoint(
        ("a " * 40).strip(), Position(0.333333333, -180.0), 0.33, datetime(2031, 5, 4, 7, tzinfo=UTC),
        "n" * NOTE_LIMIT, "k" * NAME_LIMIT, 0.333, "",
    )  # fmt: skip
    assert Waypoints(file).all() == places.all() == (kept,)
    assert places.change(typed, replace(kept, note="found by what was handed over"))


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1e300, -1e300])
def test_figures_that_are_none_are_not_written(file: Path, value: float) -> None:
    assert Waypoints(file).add(Waypoint("x", PLACE, value, error_95_m=value)) == Waypoint("x", PLACE)
    with pytest.raises(InputError, match="no place on the globe"):
        Waypoints(file).add(Waypoint("x", Position(value, 0.0)))
    with pytest.raises(InputError, match="no place on the globe"):
        Waypoints(file).change(Waypoint("x", PLACE), Waypoint("x", Position(0.0, value)))
    assert len(Waypoints(file).all()) == 1


def test_a_time_without_a_zone_is_utc_and_one_outside_the_calendar_is_none(file: Path) -> None:
    naive, before = datetime(2031, 5, 4, 12), datetime(1, 1, 1, tzinfo=timezone(timedelta(hours=14)))
    assert Waypoints(file).add(Waypoint("x", PLACE, None, naive)).time == naive.replace(tzinfo=UTC)
    assert Waypoints(file).add(Waypoint("x", PLACE, None, before)).time is None


def test_the_same_tuple_until_something_changes(file: Path) -> None:
    places = Waypoints(file)
    places.add(FULL)
    first = places.all()
    assert places.all() is first
    places.refresh()
    places.add_all(())
    assert places.change(FULL, FULL)
    assert places.all() is first
    places.add(FULL)
    assert places.all() is not first


def test_of_two_with_one_name_the_first_is_found(file: Path) -> None:
    places = Waypoints(file)
    places.add_all([FULL, replace(FULL, note="second")])
    assert places.named("Camp") == FULL
    places.remove(FULL)
    assert places.named("Camp") == replace(FULL, note="second")
    assert places.named("camp") is None


def test_some_are_added_in_one_save(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    saves: list[Path] = []

    def counted(path: Path, content: bytes) -> None:
        saves.append(path)
        replace_file(path, content)

    monkeypatch.setattr(waypoints, "replace_file", counted)
    wanted = [replace(FULL, name=f"Camp {n}") for n in range(50)]
    assert Waypoints(file).add_all(wanted) == tuple(wanted)
    Waypoints(file).add_all(())
    assert saves == [file]
    assert Waypoints(file).all() == tuple(wanted)


# Changing, removing, bringing back


CHANGES: list[dict[str, Any]] = [
    {"name": "Other"},
    {"name": ""},
    {"position": Position(-1.25, 3.5)},
    {"position": Position(10.5, 3.5)},
    {"altitude_m": None},
    {"altitude_m": -3.0},
    {"time": None},
    {"note": ""},
    {"note": "<&>\"' ]]>"},
    {"kind": "water", "note": "both"},
    {"error_95_m": None},
    {"error_95_m": 0.0},
    *({"mode": mode.value} for mode in FixMode),
    {"mode": ""},
    {"mode": "", "error_95_m": None, "altitude_m": None, "time": None, "note": "", "kind": "", "name": ""},
]


@pytest.mark.parametrize("fields", CHANGES, ids=str)
def test_a_change_changes_what_differs_there_and_back(file: Path, fields: dict[str, Any]) -> None:
    places, new = Waypoints(file), replace(FULL, **fields)
    places.add_all([Waypoint("before", PLACE), FULL, Waypoint("after", PLACE)])
    assert places.change(FULL, new) is True
    assert places.all() == Waypoints(file).all() == (Waypoint("before", PLACE), new, Waypoint("after", PLACE))
    assert places.change(new, FULL) is True
    assert Waypoints(file).all()[1] == FULL


def test_what_is_not_there_any_more_is_added(file: Path) -> None:
    mine, theirs = Waypoints(file), Waypoints(file)
    mine.add(FULL)
    theirs.refresh()
    theirs.change(FULL, replace(FULL, note="theirs"))
    assert mine.change(FULL, replace(FULL, note="mine")) is False
    assert [one.note for one in mine.all()] == ["theirs", "mine"]
    assert Waypoints(file).all() == mine.all()


def test_what_has_gone_cannot_be_removed(file: Path) -> None:
    mine, theirs = Waypoints(file), Waypoints(file)
    mine.add(FULL)
    theirs.remove(FULL)
    with pytest.raises(InputError, match="Camp is not as it was"):
        mine.remove(FULL)
    assert Waypoints(file).all() == ()


@pytest.mark.parametrize("index", range(5))
def test_removed_and_restored_is_the_same_file(file: Path, index: int) -> None:
    places = Waypoints(file)
    places.add_all([replace(FULL, name=str(n)) for n in range(5)])
    before = file.read_bytes()
    removed = places.remove(places.all()[index])
    assert [one.name for one in Waypoints(file).all()] == [str(n) for n in range(5) if n != index]
    places.restore(removed)
    assert file.read_bytes() == before
    assert len(places.all()) == 5


def test_restored_in_any_order_nothing_is_missing(file: Path) -> None:
    places = Waypoints(file)
    places.add_all([replace(FULL, name=str(n)) for n in range(4)])
    removed = [places.remove(one) for one in places.all()]
    assert places.all() == Waypoints(file).all() == ()
    for one in removed:
        places.restore(one)
    assert {one.name for one in Waypoints(file).all()} == {"0", "1", "2", "3"}


def attempts(places: Waypoints, other: Path) -> list[Callable[[], object]]:
    one = places.all()[0]
    removed = Document.without(read_document(places.path.read_bytes(), "x"), 0)[1]
    return [
        lambda: places.add(one),
        lambda: places.add_all([one, one]),
        lambda: places.change(one, replace(one, note="x")),
        lambda: places.change(Waypoint("gone", PLACE), one),
        lambda: places.remove(one),
        lambda: places.restore(removed),
        lambda: places.import_from(other),
    ]


@pytest.mark.parametrize("nth", range(7))
def test_what_cannot_be_saved_has_not_happened(file: Path, nth: int, monkeypatch: pytest.MonkeyPatch) -> None:
    other = file.with_name("other.gpx")
    Waypoints(other).add(Waypoint("new", PLACE))
    places = Waypoints(file)
    places.add(FULL)
    before, content, seen = places.all(), file.read_bytes(), sorted(file.parent.iterdir())

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(InputError, match=f"{re.escape(str(file))} could not be saved .No space left"):
            attempts(places, other)[nth]()
    assert places.all() is before
    assert file.read_bytes() == content
    assert sorted(file.parent.iterdir()) == seen
    attempts(places, other)[nth]()
    assert Waypoints(file).all() == places.all() != before


# Names


@pytest.mark.parametrize(
    ("name", "back"),
    [
        ("]]> & < > \" '", "]]> & < > \" '"),
        ("<!-- --><wpt lat='1' lon='1'/>", "<!-- --><wpt lat='1' lon='1'/>"),
        ("&lt;&#0;", "&lt;&#0;"),
        ("\x1b[31mred\x00\x07\x7f", "[31mred\x7f"),
        ("two\nlines", "two\nlines"),
        ("\U0001f3d5 \u202eback \u00fc", "\U0001f3d5 \u202eback \u00fc"),
        ("half \ud83d pair", "half  pair"),
        ("x" * 500, "x" * NAME_LIMIT),
        ("", ""),
    ],
    ids=ascii,
)
def test_hostile_names_are_safe_in_the_file(file: Path, name: str, back: str) -> None:
    Waypoints(file).add(Waypoint(name, PLACE))
    Waypoints(file).add(Waypoint("after it", PLACE))
    assert [one.name for one in Waypoints(file).all()] == [back, "after it"]


@given(st.text(st.characters()))
def test_any_name_leaves_a_file_of_one_waypoint(tmp_path_factory: pytest.TempPathFactory, name: str) -> None:
    file = tmp_path_factory.mktemp("names") / "w.gpx"
    Waypoints(file).add(Waypoint(name, PLACE))
    (found,) = Waypoints(file).all()
    assert found.position == PLACE
    assert len(found.name) <= NAME_LIMIT
