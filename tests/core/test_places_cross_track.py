"""Cross-track and along-track against check values, and against what a perpendicular is."""

from __future__ import annotations

import math

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import assume, given
from hypothesis import strategies as st

from core.fix import Position
from core.places.cross_track import Beside, beside_line
from core.places.geodesic import way
from tests.tables import rows

TABLE = rows("cross_track.csv")
TOLERANCE_M = 1e-3
"""The figures are printed to a millimetre."""
FOOT_TOLERANCE_DEG = 5e-8
"""The feet are printed to 1e-8 degrees; those of the table were searched for to a few millimetres along the leg."""


def ends(row: dict[str, str]) -> tuple[Position, Position, Position]:
    start, end, place = (Position(float(row[f"lat{n}"]), float(row[f"lon{n}"])) for n in ("1", "2", "p"))
    return start, end, place


def beside_leg(start: Position, end: Position, place: Position) -> Beside:
    """From a leg's start, in the direction that it has there."""
    return beside_line(start, way(start, end).initial_bearing_deg, place)


def test_the_table_is_whole() -> None:
    assert len(TABLE) == 11


@pytest.mark.parametrize("row", TABLE, ids=[row["name"] for row in TABLE])
def test_the_distances_beside_and_along_are_the_check_values(row: dict[str, str]) -> None:
    start, end, place = ends(row)
    found = beside_leg(start, end, place)
    assert found.cross_track_m == pytest.approx(float(row["wgs84_xte_m"]), abs=TOLERANCE_M, rel=0)
    assert found.along_track_m == pytest.approx(float(row["wgs84_along_m"]), abs=TOLERANCE_M, rel=0)
    assert found.foot.latitude_deg == pytest.approx(float(row["foot_lat"]), abs=FOOT_TOLERANCE_DEG, rel=0)
    assert found.foot.longitude_deg == pytest.approx(float(row["foot_lon"]), abs=FOOT_TOLERANCE_DEG, rel=0)


def test_right_of_the_leg_is_positive_and_turning_round_changes_the_sign() -> None:
    start, end, place = Position(47.0, 8.0), Position(47.018, 8.0), Position(47.009, 8.0004)
    there, back = beside_leg(start, end, place), beside_leg(end, start, place)
    assert there.cross_track_m > 30.0
    assert back.cross_track_m == pytest.approx(-there.cross_track_m, abs=1e-6)
    assert there.along_track_m + back.along_track_m == pytest.approx(way(start, end).distance_m, abs=1e-6)


PLACES = st.builds(Position, st.floats(-90, 90), st.floats(-180, 180))
BEARINGS = st.floats(0, 360, exclude_max=True)


@given(PLACES, BEARINGS, st.floats(-3e6, 3e6), st.floats(-3e6, 3e6))
def test_it_finds_the_foot_that_a_place_was_made_from(
    start: Position, bearing: float, along_m: float, cross_m: float
) -> None:
    line = Geodesic.WGS84.Line(*start, bearing)
    at = line.Position(along_m)
    made = Geodesic.WGS84.Direct(at["lat2"], at["lon2"], at["azi2"] + 90.0, cross_m)
    found = beside_line(start, bearing, Position(made["lat2"], made["lon2"]))
    assert found.cross_track_m == pytest.approx(cross_m, abs=TOLERANCE_M, rel=0)
    assert found.along_track_m == pytest.approx(along_m, abs=TOLERANCE_M, rel=0)


NEAR = st.tuples(st.floats(-10, 10), st.floats(-10, 10))


@given(st.floats(-80, 80), st.floats(-180, 180), NEAR, NEAR)
def test_the_foot_is_no_farther_than_either_end(
    latitude: float, longitude: float, to_end: tuple[float, float], to_place: tuple[float, float]
) -> None:
    start = Position(latitude, longitude)
    end, place = (Position(latitude + north, longitude + east) for north, east in (to_end, to_place))
    assume(way(start, end).distance_m > TOLERANCE_M)
    found = beside_leg(start, end, place)
    assert abs(found.cross_track_m) <= min(way(start, place).distance_m, way(end, place).distance_m) + TOLERANCE_M
    assert way(found.foot, place).distance_m == pytest.approx(abs(found.cross_track_m), abs=TOLERANCE_M)


@given(PLACES, BEARINGS, PLACES)
def test_from_anywhere_to_anywhere_there_is_an_answer(start: Position, bearing: float, place: Position) -> None:
    """Halfway to the other side of the Earth included, where the foot is ill-conditioned."""
    found = beside_line(start, bearing, place)
    assert math.isfinite(found.along_track_m)
    assert abs(found.cross_track_m) < 10_020_000  # a quarter of the equator
