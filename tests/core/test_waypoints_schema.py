"""What we write is GPX 1.1: by the facts of its schema, and by another library that reads it."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import FixMode, Position
from core.formats.gpx_document import EMPTY
from core.formats.gpx_waypoints import OURS
from core.waypoints import GPX, Waypoint, Waypoints
from tests.core.gpx_facts import FACTS, FOREIGN, PREFIXED, faults, gpx

EDGES = st.sampled_from([0.0, -0.0, 1e-9, -5e-10, 1e-300, 89.9999999999, 179.9999999999, 180.0, -180.0, 90.0, -90.0])
HEIGHTS = st.none() | st.floats() | EDGES
WAYPOINTS = st.builds(
    Waypoint,
    st.text(max_size=100),
    st.builds(Position, st.floats(-90, 90) | EDGES.map(lambda one: one / 2), st.floats(-180, 180) | EDGES),
    HEIGHTS,
    st.none() | st.datetimes(timezones=st.just(UTC)),
    st.text(max_size=500),
    st.text(max_size=100),
    HEIGHTS,
    st.sampled_from(["", "hearsay", *(mode.value for mode in FixMode)]),
)


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        ("<trk/><wpt lat='1' lon='1'/>", "order wpt after trk"),
        ("<wpt lat='1' lon='180'/>", "place 1 180"),
        ("<wpt lat='1e-5' lon='1'/>", "place 1e-5 1"),
        ("<wpt lat='1' lon='1'><name/><ele>1</ele></wpt>", "order ele after name"),
        ("<wpt lat='1' lon='1'><ele>1e3</ele></wpt>", "ele 1e3"),
        ("<wpt lat='1' lon='1'><name/><name/></wpt>", "twice name"),
        ("<wpt lat='1' lon='1'><error95/></wpt>", "unknown error95"),
        ("<wpt lat='1' lon='1'><fix>rtk</fix></wpt>", "fix rtk"),
    ],
)
def test_the_facts_find_faults(content: str, fault: str) -> None:
    assert faults(gpx(content).encode()) == [fault]


def test_an_empty_file_is_gpx() -> None:
    assert faults(EMPTY) == []


@given(st.lists(WAYPOINTS, min_size=1, max_size=4), st.sampled_from(["", FOREIGN, PREFIXED]))
def test_whatever_is_added_is_as_the_schema_wants_it(
    tmp_path_factory: pytest.TempPathFactory, wanted: list[Waypoint], there: str
) -> None:
    file = tmp_path_factory.mktemp("schema") / "w.gpx"
    if there:
        file.write_text(there, "utf-8")
    kept = Waypoints(file).add_all(wanted)
    assert faults(file.read_bytes()) == []
    assert Waypoints(file).all()[-len(kept) :] == kept


@given(WAYPOINTS, WAYPOINTS, st.integers(0, 2))
def test_whatever_is_changed_stays_as_the_schema_wants_it(
    tmp_path_factory: pytest.TempPathFactory, new: Waypoint, other: Waypoint, index: int
) -> None:
    file = tmp_path_factory.mktemp("schema") / "w.gpx"
    file.write_text(FOREIGN, "utf-8")
    places = Waypoints(file)
    for wanted in (new, other):
        assert places.change(places.all()[index], wanted) is True
        assert faults(file.read_bytes()) == []
        again = Waypoints(file).all()
        scratch = Waypoints(file.with_name("scratch.gpx")).add(wanted)
        if math.isfinite(wanted.altitude_m or 0.0):
            assert again[index] == scratch
        assert again == places.all()


MODES = [
    ("autonomous", None), ("differential", "dgps"), ("rtk_fixed", "dgps"), ("rtk_float", "dgps"), ("precise", "pps"),
    ("estimated", None), ("manual", None), ("simulated", None), ("none", None), ("", None),
]  # fmt: skip


@pytest.mark.parametrize(("mode", "fix"), MODES)
def test_a_mode_is_the_schema_s_word_where_it_has_one(tmp_path: Path, mode: str, fix: str | None) -> None:
    Waypoints(tmp_path / "w.gpx").add(Waypoint("x", Position(1.0, 2.0), mode=mode))
    point = ET.parse(tmp_path / "w.gpx").getroot()[0]
    assert point.findtext(f"{{{GPX}}}fix") == fix
    assert (point.findtext(f"{{{GPX}}}extensions/{{{OURS}}}mode") or "") == mode
    assert {one[0] for one in MODES if one[0]} == {mode.value for mode in FixMode}


@pytest.mark.parametrize(
    ("error_m", "text"), [(0.0, "0.000"), (1e-7, "0.000"), (3.14159, "3.142"), (12345.0, "12345.000")]
)
def test_an_error_is_metres_in_plain_decimals(tmp_path: Path, error_m: float, text: str) -> None:
    Waypoints(tmp_path / "w.gpx").add(Waypoint("x", Position(1.0, 2.0), error_95_m=error_m))
    point = ET.parse(tmp_path / "w.gpx").getroot()[0]
    assert point.findtext(f"{{{GPX}}}extensions/{{{OURS}}}error95") == text


def test_the_order_is_the_schema_s() -> None:
    from core.formats.gpx_waypoints import ORDER

    assert [one.removeprefix(f"{{{GPX}}}") for one in ORDER] == FACTS["point"]


# As another library reads it


FULL = Waypoint(
    "Ömmery <Top> & \U0001f3d5", Position(-47.3, 179.999999999), -12.5, datetime(2031, 5, 4, 12, tzinfo=UTC),
    "two\nlines", "top", 3.125, "rtk_float",
)  # fmt: skip


def read_by_gpxpy(path: Path) -> list[Any]:
    gpxpy = pytest.importorskip("gpxpy", reason="comes with the extra `test`")
    found = gpxpy.parse(path.read_text("utf-8"))
    assert found.version == "1.1"
    return list(found.waypoints)


def test_another_library_reads_the_same(tmp_path: Path) -> None:
    Waypoints(tmp_path / "w.gpx").add_all([FULL, Waypoint("", Position(0.0, 180.0))])
    one, two = read_by_gpxpy(tmp_path / "w.gpx")
    assert (one.name, one.latitude, one.longitude, one.elevation) == (FULL.name, -47.3, 179.999999999, -12.5)
    assert (one.time, one.description, one.type, one.type_of_gpx_fix) == (FULL.time, FULL.note, "top", "dgps")
    assert [(one.tag, one.text) for one in one.extensions] == [
        (f"{{{OURS}}}error95", "3.125"),
        (f"{{{OURS}}}mode", "rtk_float"),
    ]
    assert (two.name, two.latitude, two.longitude, two.elevation, two.time) == (None, 0.0, -180.0, None, None)


def test_what_another_library_writes_is_read_and_changed(tmp_path: Path) -> None:
    gpxpy = pytest.importorskip("gpxpy", reason="comes with the extra `test`")
    theirs = gpxpy.gpx.GPX()
    theirs.waypoints.append(
        gpxpy.gpx.GPXWaypoint(
            1.5, -2.5, 7.0, datetime(2031, 5, 4, 12, tzinfo=UTC), "Hut", "warm", "Lodge", "shelter", "their comment"
        )
    )
    (tmp_path / "w.gpx").write_text(theirs.to_xml("1.1"), "utf-8")
    places = Waypoints(tmp_path / "w.gpx")
    hut = Waypoint("Hut", Position(1.5, -2.5), 7.0, datetime(2031, 5, 4, 12, tzinfo=UTC), "warm", "shelter")
    assert places.all() == (hut,)
    places.change(hut, replace(hut, name="Cold hut", note="", mode="differential"))
    (back,) = read_by_gpxpy(tmp_path / "w.gpx")
    assert (back.name, back.description, back.symbol, back.comment) == ("Cold hut", None, "Lodge", "their comment")
    assert (back.elevation, back.type_of_gpx_fix) == (7.0, "dgps")


def test_an_exported_file_is_read_by_another_library(tmp_path: Path) -> None:
    (tmp_path / "w.gpx").write_text(FOREIGN, "utf-8")
    places = Waypoints(tmp_path / "w.gpx")
    places.add(FULL)
    places.export_to(tmp_path / "out.gpx", places.all())
    assert [one.name for one in read_by_gpxpy(tmp_path / "out.gpx")] == ["Old hut", None, "Ford & <bridge>", FULL.name]
    assert faults((tmp_path / "out.gpx").read_bytes()) == []
