"""The user's places: nothing of theirs is lost, whoever else writes into the file and whatever the names hold."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError
from core.fix import Fix, FixMode, Position, Utc
from core.waypoints import GPX, NAME_LIMIT, Waypoint, Waypoints, mark_here

PLACE = Position(10.5, -20.25)
FOREIGN = """<?xml version="1.0"?>
<gpx version="1.1" creator="something else" xmlns="http://www.topografix.com/GPX/1/1"
     xmlns:more="urn:q0abc:more" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"
     xsi:schemaLocation="http://www.topografix.com/GPX/1/1 gpx.xsd">
 <metadata><name>Trip</name><extensions><more:weather wind="3">fine</more:weather></extensions></metadata>
 <wpt lat="1.5" lon="-2.5"><ele>7</ele><magvar>1.5</magvar><name>Old hut</name><sym>Hut</sym>
  <extensions><more:beds n="4"/></extensions></wpt>
 <rte><name>Way there</name><rtept lat="1" lon="2"/></rte>
 <trk><name>Day 1</name><trkseg><trkpt lat="1" lon="2"><ele>3</ele></trkpt></trkseg></trk>
 <extensions><more:owner>Q0ABC</more:owner></extensions>
</gpx>"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "waypoints.gpx"


def gpx(content: str) -> str:
    return f'<gpx version="1.1" creator="x" xmlns="{GPX}">{content}</gpx>'


def tag(element: ET.Element) -> str:
    return element.tag.removeprefix(f"{{{GPX}}}")


def shape(element: ET.Element) -> tuple[object, ...]:
    """All that an element says, white space between elements aside."""
    return element.tag, sorted(element.attrib.items()), (element.text or "").strip(), [shape(one) for one in element]


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


# What others have put into the file


def test_what_others_wrote_survives_an_addition(file: Path) -> None:
    file.write_text(FOREIGN, "utf-8")
    before = ET.fromstring(FOREIGN)
    Waypoints(file).add(Waypoint("New", PLACE))
    after = ET.fromstring(file.read_bytes())
    assert [tag(one) for one in after] == ["metadata", "wpt", "wpt", "rte", "trk", "extensions"]
    after.remove(after[2])
    assert shape(after) == shape(before)
    assert [one.name for one in Waypoints(file).all()] == ["Old hut", "New"]


@pytest.mark.parametrize(
    ("content", "order"),
    [
        ("", ["wpt"]),
        ("<metadata/>", ["metadata", "wpt"]),
        ("<trk/>", ["wpt", "trk"]),
        ("<wpt lat='1' lon='1'/><rte/><trk/><extensions/>", ["wpt", "wpt", "rte", "trk", "extensions"]),
        ("<metadata/><extensions/>", ["metadata", "wpt", "extensions"]),
    ],
)
def test_an_addition_keeps_the_order_of_the_schema(file: Path, content: str, order: list[str]) -> None:
    file.write_text(gpx(content), "utf-8")
    Waypoints(file).add(Waypoint("New", PLACE))
    assert [tag(one) for one in ET.fromstring(file.read_bytes())] == order


def test_two_writers_in_turn_lose_nothing(file: Path) -> None:
    mine, theirs = Waypoints(file), Waypoints(file)
    for n in range(5):
        mine.add(Waypoint(f"mine {n}", PLACE))
        theirs.add(Waypoint(f"theirs {n}", PLACE))
    names = [f"{who} {n}" for n in range(5) for who in ("mine", "theirs")]
    assert [one.name for one in Waypoints(file).all()] == names
    assert [one.name for one in theirs.all()] == names


def test_what_cannot_be_a_place_stays_in_the_file_unread(file: Path) -> None:
    file.write_text(
        gpx(
            "<wpt lat='91' lon='0'><name>too far</name></wpt><wpt lon='0'/><wpt lat='nan' lon='0'/>"
            "<wpt lat='1' lon='inf'/><wpt lat='x' lon='y'/><wpt lat='1' lon='180.5'/><wpt lat='1' lon='2'/>"
        ),
        "utf-8",
    )
    Waypoints(file).add(Waypoint("New", PLACE))
    assert [one.position for one in Waypoints(file).all()] == [Position(1.0, 2.0), PLACE]
    assert len(ET.fromstring(file.read_bytes())) == 8


@pytest.mark.parametrize(
    ("children", "altitude", "moment"),
    [
        ("<ele>nan</ele><time>yesterday</time>", None, None),
        ("<ele>1e300</ele><time>0001-01-01T00:00:00+14:00</time>", None, None),
        ("<ele>-inf</ele><time>9999-12-31T23:59:59-14:00</time>", None, None),
        ("<ele> 12 </ele><time>2031-05-04T12:00:00</time>", 12.0, datetime(2031, 5, 4, 12, tzinfo=UTC)),
        ("<ele/><time>2031-05-04T12:00:00+02:00</time>", None, datetime(2031, 5, 4, 10, tzinfo=UTC)),
        ("<time/>", None, None),
    ],
)
def test_odd_heights_and_times_of_others_are_no_obstacle(
    file: Path, children: str, altitude: float | None, moment: datetime | None
) -> None:
    file.write_text(gpx(f"<wpt lat='10.5' lon='-20.25'>{children}</wpt>"), "utf-8")
    assert Waypoints(file).all() == (Waypoint("", PLACE, altitude, moment),)


# Damage


DAMAGED = [
    FOREIGN[:-20],
    "",
    "\x00" * 200,
    "<gpx/>",
    "<html/>",
    '<gpx xmlns="http://www.topografix.com/GPX/1/0" version="1.0" creator="x"/>',
    '<!DOCTYPE gpx [<!ENTITY a "b">]>' + gpx("<wpt lat='1' lon='1'><name>&a;</name></wpt>"),
]


@pytest.mark.parametrize("content", DAMAGED, ids=range(len(DAMAGED)))
def test_a_damaged_file_is_refused_by_name(file: Path, content: str) -> None:
    file.write_text(content, "utf-8")
    with pytest.raises(InputError, match=re.escape(str(file))):
        Waypoints(file)


@pytest.mark.parametrize("content", DAMAGED, ids=range(len(DAMAGED)))
def test_a_file_damaged_meanwhile_is_never_written_over(file: Path, content: str) -> None:
    places = Waypoints(file)
    places.add(Waypoint("Camp", PLACE))
    file.write_text(content, "utf-8")
    with pytest.raises(InputError):
        places.add(Waypoint("Lost", PLACE))
    assert file.read_text("utf-8") == content
    assert [one.name for one in places.all()] == ["Camp"]
    assert {one.name for one in file.parent.iterdir()} == {file.name}


def test_a_folder_in_its_place_is_said(file: Path) -> None:
    file.mkdir()
    with pytest.raises(InputError, match="cannot be read"):
        Waypoints(file)


def test_what_cannot_be_saved_is_not_added(tmp_path: Path) -> None:
    (tmp_path / "data").write_bytes(b"a file where the folder should be")
    with pytest.raises(InputError):
        Waypoints(tmp_path / "data" / "waypoints.gpx").add(Waypoint("x", PLACE))
    fresh = Waypoints(tmp_path / "none" / "waypoints.gpx")
    (tmp_path / "none").write_bytes(b"")
    with pytest.raises(InputError):
        fresh.add(Waypoint("x", PLACE))
    assert fresh.all() == ()


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


# Marking


def fix(mode: FixMode = FixMode.AUTONOMOUS, position: Position | None = PLACE, utc: Utc | None = None) -> Fix:
    return Fix(utc=utc, position=position, mode=mode, altitude_m=12.5)


NOON = Utc(12 * 3_600_000 + 34 * 60_000, date(2031, 5, 4))


def test_a_mark_has_number_time_place_and_height() -> None:
    found = mark_here(fix(utc=NOON), ())
    assert found == Waypoint("Mark 1 12:34 UTC", PLACE, 12.5, datetime(2031, 5, 4, 12, 34, tzinfo=UTC))


def test_without_a_date_there_is_no_time_and_without_a_time_the_name_says_so() -> None:
    assert mark_here(fix(utc=NOON._replace(day=None)), ()).time is None
    assert mark_here(fix(), ()).name == "Mark 1 no time"


@pytest.mark.parametrize(
    ("taken", "number"),
    [
        (("Mark 1 09:00 UTC", "Mark 2 09:01 UTC"), 3),
        (("Mark 2 09:01 UTC",), 1),
        (("Mark 1 09:00 UTC", "Mark 3 09:01 UTC"), 2),
        (("Mark 10 09:00 UTC",), 1),
        (("Camp", "", "Mark 1"), 1),
        (tuple(f"Mark {n} 09:00 UTC" for n in range(1, 13)), 13),
    ],
)
def test_numbers_are_not_given_twice(taken: tuple[str, ...], number: int) -> None:
    assert mark_here(fix(utc=NOON), taken).name == f"Mark {number} 12:34 UTC"


@pytest.mark.parametrize(
    "nothing",
    [fix(position=None), Fix(), fix(FixMode.ESTIMATED), fix(FixMode.MANUAL), fix(FixMode.SIMULATED), fix(FixMode.NONE)],
)
def test_without_a_satellite_fix_nothing_is_marked(nothing: Fix) -> None:
    with pytest.raises(InputError, match="no satellite fix"):
        mark_here(nothing, ())
