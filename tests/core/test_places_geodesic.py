"""Distances and bearings against published geodesics, and the quick distance against the exact one."""

from __future__ import annotations

import math

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import example, given
from hypothesis import strategies as st

from core.fix import Position
from core.places.geodesic import distance_m, way
from tests.tables import rows

TABLE = rows("geodesic_inverse.csv")
AZIMUTH_TOLERANCE_DEG = 1e-5
"""The published azimuths are given to 5e-6 degrees at the worst."""
SHORTEST_FOR_AZIMUTH_M = 1000.0
"""The last printed digit of a shorter line's ends turns it by more than the tolerance."""


def ids(row: dict[str, str]) -> str:
    return f"{row['set']} {row['lat1']} {row['s12']}"


def apart(a: float, b: float) -> float:
    return abs((a - b + 180.0) % 360.0 - 180.0)


def test_the_table_is_whole() -> None:
    assert len(TABLE) == 207
    assert {row["set"].split()[0] for row in TABLE} == {"GeodTest", "GeodTest-100", "GeographicLib-tests", "computed"}


@pytest.mark.parametrize("row", TABLE, ids=ids)
def test_the_distance_is_the_published_one(row: dict[str, str]) -> None:
    start = Position(float(row["lat1"]), float(row["lon1"]))
    end = Position(float(row["lat2"]), float(row["lon2"]))
    assert way(start, end).distance_m == pytest.approx(float(row["s12"]), abs=float(row["tol_m"]), rel=0)
    assert distance_m(start, end) == pytest.approx(float(row["s12"]), abs=max(1e-4, float(row["tol_m"])), rel=0)


WITH_DIRECTION = [
    row
    for row in TABLE
    if row["azi1"] and float(row["tol_m"]) <= 1e-6 and SHORTEST_FOR_AZIMUTH_M < float(row["s12"]) < 19_900_000
]
"""Published to the micrometre, and neither next door nor nearly antipodal, where the direction is ill-conditioned."""


@pytest.mark.parametrize("row", WITH_DIRECTION, ids=ids)
def test_the_bearings_are_the_published_ones(row: dict[str, str]) -> None:
    line = way(Position(float(row["lat1"]), float(row["lon1"])), Position(float(row["lat2"]), float(row["lon2"])))
    assert apart(line.initial_bearing_deg, float(row["azi1"])) < AZIMUTH_TOLERANCE_DEG
    assert apart(line.final_bearing_deg, float(row["azi2"])) < AZIMUTH_TOLERANCE_DEG


def test_enough_rows_have_bearings_to_check() -> None:
    assert len(WITH_DIRECTION) > 100


latitudes = st.one_of(st.floats(-90, 90), st.floats(79.9, 80.1), st.floats(-90, -89.99))
longitudes = st.one_of(st.floats(-180, 180), st.floats(179.99, 180), st.floats(-180, -179.99))
hops = st.tuples(st.floats(-0.012, 0.012), st.floats(-0.012, 0.012))


def moved(start: Position, north: float, east: float) -> Position:
    latitude = min(90.0, max(-90.0, start.latitude_deg + north))
    return Position(latitude, (start.longitude_deg + east + 180.0) % 360.0 - 180.0)


@given(latitudes, longitudes, hops)
@example(80.0, 180.0, (0.0, 0.00999))
@example(-79.9999, -180.0, (-0.0099, -0.0099))
@example(0.0, 179.9999, (0.0, 0.0002))
@example(89.9999, 0.0, (0.0001, 0.01))
def test_a_short_hop_is_within_a_millionth_of_the_geodesic(
    latitude: float, longitude: float, hop: tuple[float, float]
) -> None:
    start = Position(latitude, longitude)
    end = moved(start, *hop)
    exact = Geodesic.WGS84.Inverse(*start, *end)["s12"]
    # A ten-thousandth of a millimetre is what the degrees themselves are rounded to at 180.
    assert distance_m(start, end) == pytest.approx(exact, rel=1e-6, abs=1e-7)


@given(latitudes, longitudes, latitudes, longitudes)
def test_any_distance_is_finite_and_the_same_both_ways(a: float, b: float, c: float, d: float) -> None:
    there, back = distance_m(Position(a, b), Position(c, d)), distance_m(Position(c, d), Position(a, b))
    assert there == pytest.approx(back, rel=1e-9, abs=1e-7)
    assert 0.0 <= there < 20_003_932  # half a meridian


@given(latitudes, longitudes, latitudes, longitudes)
def test_bearings_are_from_zero_to_below_360(a: float, b: float, c: float, d: float) -> None:
    line = way(Position(a, b), Position(c, d))
    assert 0.0 <= line.initial_bearing_deg < 360.0
    assert 0.0 <= line.final_bearing_deg < 360.0


def test_the_same_place_under_two_names_is_no_distance() -> None:
    assert distance_m(Position(10.0, 180.0), Position(10.0, -180.0)) == 0.0
    assert distance_m(Position(90.0, 20.0), Position(90.0, -100.0)) == pytest.approx(0.0, abs=1e-6)
    assert math.copysign(1.0, distance_m(Position(0.0, -0.0), Position(-0.0, 0.0))) == 1.0
