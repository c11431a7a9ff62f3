"""GPX exports read back by gpxpy, and held against the facts of the GPX 1.1 schema."""

from __future__ import annotations

import math
from datetime import timedelta
from pathlib import Path

import gpxpy
import pytest

from core.export_plan import Format
from core.fix import Position
from core.formats.track_text import About
from core.waypoint import Waypoint
from tests.build import gsa, line
from tests.core.gpx_facts import faults
from tests.exported import REAL, REPLAYS, epochs_of, exported, fix_lines, fixes_of, recorded
from tests.recordings import needs_recordings
from tests.trips import shifted
from tests.walks import NEAR_ANTIMERIDIAN, OCEAN, straight

ALTITUDE_M, SEPARATION_M = 12.5, 8.5


def _same(path: Path) -> None:
    wanted = fixes_of(path)
    data, outcome = exported(path, Format.GPX)
    points = list(gpxpy.parse(data.decode()).walk(only_points=True))
    assert not faults(data)
    assert len(points) == len(wanted) == outcome.points
    for point, epoch in zip(points, wanted, strict=True):
        fix = epoch.fix
        assert fix.position is not None
        assert point.latitude == pytest.approx(fix.position.latitude_deg, abs=1e-8)
        assert math.remainder(point.longitude - fix.position.longitude_deg, 360.0) == pytest.approx(0.0, abs=1e-8)
        assert point.elevation == (None if fix.dimensions == 2 else pytest.approx(fix.altitude_m, abs=1e-4))
        assert (point.time is None) == (fix.utc is None or fix.utc.day is None)
        if point.time and fix.utc:
            assert abs(point.time - (fix.utc.datetime() or point.time)) < timedelta(milliseconds=1)
        assert (point.horizontal_dilution, point.satellites) == (fix.hdop, fix.satellites_in_fix)
        assert (point.vertical_dilution, point.position_dilution) == (fix.vdop, fix.pdop)


@pytest.mark.parametrize("path", REPLAYS)
def test_an_independent_reader_finds_every_fix_of_a_bundled_recording_as_it_was(path: Path) -> None:
    _same(path)


@needs_recordings
@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
def test_an_independent_reader_finds_every_fix_of_a_real_recording_as_it_was(path: Path) -> None:
    if fixes_of(path):
        _same(path)


def test_a_gap_and_a_jump_begin_a_segment_and_nothing_else_does(tmp_path: Path) -> None:
    first = straight(OCEAN, 90.0, 30)
    after_gap = shifted(straight(first[-1].place, 90.0, 30), 60.0)
    jumped = shifted(straight(Position(OCEAN.latitude_deg + 0.1, OCEAN.longitude_deg), 90.0, 30), 91.0)
    data, outcome = exported(recorded(tmp_path / "a.nmea", [*first, *after_gap, *jumped]), Format.GPX)
    segments = gpxpy.parse(data.decode()).tracks[0].segments
    assert [len(one.points) for one in segments] == [len(first), len(after_gap), len(jumped)]
    assert outcome.segments == 3


def test_at_ten_a_second_a_jump_breaks_at_the_very_fix(tmp_path: Path) -> None:
    walk = straight(OCEAN, 90.0, 4, hz=10)
    away = shifted(straight(Position(10.6, -20.25), 90.0, 4, hz=10), walk[-1].at_s + 0.1)
    data, _ = exported(recorded(tmp_path / "a.nmea", [*walk, *away]), Format.GPX)
    segments = gpxpy.parse(data.decode()).tracks[0].segments
    assert [len(one.points) for one in segments] == [len(walk), len(away)]


@pytest.mark.parametrize(
    ("quality", "word"),
    [("1", None), ("2", "dgps"), ("4", "dgps"), ("5", "dgps"), ("3", "pps")],
    ids=["plain", "dgps", "rtk", "float", "precise"],
)
def test_the_fix_is_told_in_the_words_of_the_schema(tmp_path: Path, quality: str, word: str | None) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(fix_lines(0.0, OCEAN, quality))
    data, _ = exported(path, Format.GPX)
    [point] = gpxpy.parse(data.decode()).walk(only_points=True)
    assert point.type_of_gpx_fix == word


@pytest.mark.parametrize("quality", ["6", "7", "8"], ids=["estimated", "manual", "simulated"])
def test_what_no_satellite_gave_is_no_point_and_is_counted(tmp_path: Path, quality: str) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(fix_lines(0.0, OCEAN) + fix_lines(1.0, OCEAN, quality) + fix_lines(2.0, OCEAN))
    data, outcome = exported(path, Format.GPX)
    assert len(list(gpxpy.parse(data.decode()).walk(only_points=True))) == outcome.points == 2
    assert "1 fix left out: estimated, put in by hand or simulated" in outcome.words()


def test_the_height_is_the_one_above_mean_sea_level_with_the_geoid_beside_it(tmp_path: Path) -> None:
    data, _ = exported(recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 1)), Format.GPX)
    point = next(iter(gpxpy.parse(data.decode()).walk(only_points=True)))
    assert (point.elevation, point.geoid_height) == (ALTITUDE_M, SEPARATION_M)


def test_the_antimeridian_is_written_as_minus_180(tmp_path: Path) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(fix_lines(0.0, Position(-17.0, 180.0)))
    data, _ = exported(path, Format.GPX)
    assert b'lon="-180.0' in data
    assert not faults(data)


def test_a_walk_across_the_antimeridian_is_one_segment(tmp_path: Path) -> None:
    data, outcome = exported(recorded(tmp_path / "a.nmea", straight(NEAR_ANTIMERIDIAN, 90.0, 60)), Format.GPX)
    assert outcome.segments == 1
    assert not faults(data)


def test_waypoints_come_before_the_track_and_keep_what_they_say(tmp_path: Path) -> None:
    spring = Waypoint("Spring & <well>", Position(1.5, -2.5), 7.0, note="cold\nclear", kind="water")
    path = recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 5))
    data, _ = exported(path, Format.GPX, About("Trip", waypoints=(spring,)))
    [found] = gpxpy.parse(data.decode()).waypoints
    assert (found.name, found.latitude, found.longitude, found.elevation) == (spring.name, 1.5, -2.5, 7.0)
    assert not faults(data)


def test_a_recording_without_a_date_gives_points_without_a_time(tmp_path: Path) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(b"".join(one for one in fix_lines(0.0, OCEAN).splitlines(keepends=True) if b"GGA" in one))
    assert epochs_of(path)[0].fix.utc is not None
    data, _ = exported(path, Format.GPX)
    [point] = gpxpy.parse(data.decode()).walk(only_points=True)
    assert point.time is None


@pytest.mark.parametrize(
    ("station", "number"), [("0007", 7), ("1023", 1023), ("1024", None), ("9999", None), ("", None)]
)
def test_a_station_is_told_where_the_schema_has_room_for_its_number(
    tmp_path: Path, station: str, number: int | None
) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(line(f"GNGGA,120000,1030.0,N,02015.0,W,2,08,0.9,12.5,M,8.5,M,3.2,{station}"))
    data, _ = exported(path, Format.GPX)
    [point] = gpxpy.parse(data.decode()).walk(only_points=True)
    assert point.dgps_id == number
    assert point.age_of_dgps_data == 3.2


@pytest.mark.parametrize(("dimensions", "word"), [(2, "2d"), (3, "3d")])
def test_a_plain_fix_is_told_by_its_dimensions(tmp_path: Path, dimensions: int, word: str) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(fix_lines(0.0, OCEAN) + line(gsa(1, 2, 3, dimensions=dimensions)))
    data, _ = exported(path, Format.GPX)
    [point] = gpxpy.parse(data.decode()).walk(only_points=True)
    assert point.type_of_gpx_fix == word
    assert point.elevation == (None if dimensions == 2 else ALTITUDE_M)
