"""GeoJSON exports against RFC 7946, read back by shapely."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import LineString, MultiLineString, shape

from core.export_plan import Format
from core.fix import Position
from core.formats.track_text import About
from core.waypoint import Waypoint
from tests.exported import FERRY, REAL, REPLAYS, exported, fix_lines, fixes_of, recorded
from tests.recordings import needs_recordings
from tests.walks import ANYWHERE, NEAR_ANTIMERIDIAN, OCEAN, Step, straight

NOT_FINITE = {"NaN", "Infinity", "-Infinity"}


def _refuse(word: str) -> Any:
    raise AssertionError(f"{word} is no JSON")


def _read(data: bytes) -> list[dict[str, Any]]:
    """The features; each rule of RFC 7946 that can be broken is looked at."""
    found = json.loads(data.decode("utf-8"), parse_constant=_refuse)
    assert found["type"] == "FeatureCollection"
    assert "crs" not in found  # 4: was removed
    for feature in found["features"]:
        assert feature["type"] == "Feature"
        assert "properties" in feature
        for part in _parts(feature):
            assert len(part) >= (1 if feature["geometry"]["type"] == "Point" else 2)  # 3.1.4
            assert {len(place) for place in part} <= {2, 3}  # 3.1.1
            assert all(-180.0 <= place[0] <= 180.0 and -90.0 <= place[1] <= 90.0 for place in part)
            assert all(abs(b[0] - a[0]) <= 180.0 for a, b in pairwise(part))  # 3.1.9
    features: list[dict[str, Any]] = found["features"]
    return features


def _parts(feature: dict[str, Any]) -> list[list[list[float]]]:
    coordinates, depth = feature["geometry"]["coordinates"], {"Point": 0, "LineString": 1, "MultiLineString": 2}
    for _ in range(depth[feature["geometry"]["type"]], 2):
        coordinates = [coordinates]
    parts: list[list[list[float]]] = coordinates
    return parts


def _measured(feature: dict[str, Any]) -> Iterator[tuple[list[float], str | None, float | None]]:
    """Position, time and height of each fix; corners that only the cut made have no time, where others have one."""
    said = feature["properties"].get("coordinateProperties")
    if said is None:
        properties = feature["properties"]
        yield feature["geometry"]["coordinates"], properties["time"], properties["altitude_above_mean_sea_level_m"]
        return
    times, heights = said["times"], said["altitudes_above_mean_sea_level_m"]
    many = feature["geometry"]["type"] == "MultiLineString"
    for part, when, high in zip(
        _parts(feature), times if many else [times], heights if many else [heights], strict=True
    ):
        for place, time, height in zip(part, when, high, strict=True):
            if not (many and abs(place[0]) == 180.0 and time is None):
                yield place, time, height


def _same(path: Path) -> None:
    data, outcome = exported(path, Format.GEOJSON)
    features = _read(data)
    found = [one for feature in features for one in _measured(feature)]
    wanted = fixes_of(path)
    assert len(found) == len(wanted) == outcome.points
    assert len(features) == outcome.segments
    for (place, time, height), epoch in zip(found, wanted, strict=True):
        fix = epoch.fix
        assert fix.position is not None
        assert place[1] == pytest.approx(fix.position.latitude_deg, abs=1e-8)
        assert (place[0] - fix.position.longitude_deg + 180) % 360 - 180 == pytest.approx(0.0, abs=1e-8)
        moment = fix.utc.datetime() if fix.utc else None
        assert (time is None) == (moment is None)
        assert height == (None if fix.dimensions == 2 else fix.altitude_m)
        if len(place) == 3 and fix.altitude_m is not None and fix.geoid_separation_m is not None:
            assert place[2] == pytest.approx(fix.altitude_m + fix.geoid_separation_m, abs=1e-3)
    for feature in features:
        assert shape(feature["geometry"]).geom_type == feature["geometry"]["type"]


@pytest.mark.parametrize("path", REPLAYS)
def test_a_bundled_recording_comes_back_fix_by_fix(path: Path) -> None:
    _same(path)


@needs_recordings
@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
def test_a_real_recording_comes_back_fix_by_fix(path: Path) -> None:
    if fixes_of(path):
        _same(path)


def test_the_ferry_crosses_the_antimeridian_and_is_cut_there() -> None:
    kinds = [one["geometry"]["type"] for one in _read(exported(FERRY, Format.GEOJSON)[0])]
    assert "MultiLineString" in kinds


def test_both_sides_of_the_cut_meet_it_at_the_same_latitude(tmp_path: Path) -> None:
    walk = straight(NEAR_ANTIMERIDIAN, 80.0, 60)
    [feature] = _read(exported(recorded(tmp_path / "a.nmea", walk), Format.GEOJSON)[0])
    east, west = shape(feature["geometry"]).geoms
    assert (east.coords[-1][0], west.coords[0][0]) == (180.0, -180.0)
    assert east.coords[-1][1] == west.coords[0][1]
    before, after = _around(walk)
    assert before.latitude_deg < east.coords[-1][1] < after.latitude_deg
    share = (180.0 - before.longitude_deg) / (after.longitude_deg + 360.0 - before.longitude_deg)
    wanted = before.latitude_deg + share * (after.latitude_deg - before.latitude_deg)
    assert east.coords[-1][1] == pytest.approx(wanted, abs=1e-8)
    whole = LineString([(s.place.longitude_deg % 360.0, s.place.latitude_deg) for s in walk])
    assert east.length + west.length == pytest.approx(whole.length, abs=1e-7)


def _around(walk: list[Step]) -> tuple[Position, Position]:
    return next((a.place, b.place) for a, b in pairwise(walk) if b.place.longitude_deg < 0.0 < a.place.longitude_deg)


@pytest.mark.parametrize(
    "longitudes",
    [
        [179.9998, 180.0, -179.9998], [180.0, -179.9999, -179.9998], [-179.9999, -180.0, 179.9999],
        [-180.0, 179.9999, 179.9998], [179.9999, 180.0, 180.0], [180.0, 179.9999, 180.0, -179.9999],
    ],
)  # fmt: skip
def test_a_fix_on_the_antimeridian_itself_makes_no_line_of_one_place(tmp_path: Path, longitudes: list[float]) -> None:
    path = tmp_path / "a.nmea"
    places = [Position(-17.0 + n * 1e-5, longitude) for n, longitude in enumerate(longitudes)]
    path.write_bytes(b"".join(fix_lines(float(n), place) for n, place in enumerate(places)))
    [feature] = _read(exported(path, Format.GEOJSON)[0])
    line = shape(feature["geometry"])
    assert line.is_valid
    assert sum(len(set(part.coords)) < 2 for part in (line.geoms if hasattr(line, "geoms") else [line])) == 0
    crosses = {one > 0 for one in longitudes if abs(one) != 180.0} == {True, False}
    assert isinstance(line, MultiLineString) == crosses


@pytest.mark.parametrize("start", ANYWHERE)
def test_walks_over_poles_and_anywhere_keep_every_fix(tmp_path: Path, start: Position) -> None:
    _same(recorded(tmp_path / "a.nmea", straight(start, 10.0, 40)))


def test_the_height_of_a_position_is_the_one_above_the_ellipsoid(tmp_path: Path) -> None:
    [feature] = _read(exported(recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 3)), Format.GEOJSON)[0])
    assert {place[2] for place in feature["geometry"]["coordinates"]} == {21.0}
    assert set(feature["properties"]["coordinateProperties"]["altitudes_above_mean_sea_level_m"]) == {12.5}


def test_where_one_fix_has_no_height_positions_have_none_and_the_others_are_told_beside(tmp_path: Path) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(fix_lines(0.0, OCEAN) + fix_lines(1.0, OCEAN, altitude="7.0,M,,M") + fix_lines(2.0, OCEAN))
    [feature] = _read(exported(path, Format.GEOJSON)[0])
    assert {len(place) for place in feature["geometry"]["coordinates"]} == {2}
    said = feature["properties"]["coordinateProperties"]
    assert said["altitudes_above_mean_sea_level_m"] == [12.5, 7.0, 12.5]
    assert said["heights_above_ellipsoid_m"] == [21.0, None, 21.0]


def test_a_fix_alone_is_a_point(tmp_path: Path) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(fix_lines(0.0, OCEAN))
    [feature] = _read(exported(path, Format.GEOJSON)[0])
    assert feature["geometry"] == {"type": "Point", "coordinates": [OCEAN.longitude_deg, OCEAN.latitude_deg, 21.0]}


def test_waypoints_have_no_height_since_theirs_is_no_ellipsoidal_one(tmp_path: Path) -> None:
    hut = Waypoint("Hut", Position(1.5, -2.5), 7.0)
    path = recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 3))
    first, second = _read(exported(path, Format.GEOJSON, About("Trip", waypoints=(hut,)))[0])
    assert first["geometry"] == {"type": "Point", "coordinates": [-2.5, 1.5]}
    assert (first["properties"]["name"], first["properties"]["altitude_above_mean_sea_level_m"]) == ("Hut", 7.0)
    assert second["geometry"]["type"] == "LineString"
