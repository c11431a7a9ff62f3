"""Which way to the target: turns by the shorter side, nothing where there is nothing to say."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.guidance import AT_TARGET_M, guide

HERE = Position(10.5, -20.25)
NORTH, EAST = Position(10.6, -20.25), Position(0.0, 1.0)
EQUATOR = Position(0.0, 0.0)


@pytest.mark.parametrize(
    ("course", "turn"),
    [(0.0, 0.0), (350.0, 10.0), (10.0, -10.0), (181.0, 179.0), (179.0, -179.0), (270.0, 90.0), (360.0, 0.0)],
)
def test_the_turn_is_by_the_shorter_side(course: float, turn: float) -> None:
    found = guide(HERE, NORTH, course)
    assert found.bearing_deg == pytest.approx(0.0, abs=1e-9)
    assert found.turn_deg == pytest.approx(turn, abs=1e-9)


def test_due_east_on_the_equator() -> None:
    found = guide(EQUATOR, EAST, 45.0)
    assert found.distance_m == pytest.approx(111_319.491, abs=1e-3)  # a degree of the WGS 84 equator
    assert (found.bearing_deg, found.turn_deg) == (90.0, 45.0)


def test_without_a_course_there_is_a_bearing_and_no_turn() -> None:
    found = guide(EQUATOR, EAST, None)
    assert found.bearing_deg == 90.0
    assert found.turn_deg is None


def test_on_the_spot_there_is_no_direction() -> None:
    assert guide(HERE, HERE, 90.0) == (0.0, None, None)


@pytest.mark.parametrize(("metres", "has_bearing"), [(0.99, False), (1.01, True)])
def test_within_a_metre_the_bearing_is_blank(metres: float, has_bearing: bool) -> None:
    near = Position(0.0, metres / 111_319.491)
    found = guide(EQUATOR, near, 0.0)
    assert found.distance_m == pytest.approx(metres, abs=1e-4)
    assert (found.bearing_deg is not None) is (found.turn_deg is not None) is has_bearing
    assert has_bearing is (metres > AT_TARGET_M)


def test_the_antimeridian_is_no_obstacle() -> None:
    found = guide(Position(0.0, 179.9999), Position(0.0, -179.9999), 90.0)
    assert found.distance_m == pytest.approx(22.264, abs=1e-3)
    assert found.turn_deg == pytest.approx(0.0, abs=1e-6)


PLACES = st.tuples(st.floats(-89, 89), st.floats(-180, 180))


@given(PLACES, PLACES, st.floats(0, 360))
def test_a_turn_leads_from_the_course_to_the_bearing(
    here: tuple[float, float], there: tuple[float, float], course: float
) -> None:
    found = guide(Position(*here), Position(*there), course)
    if found.bearing_deg is None or found.turn_deg is None:
        assert found.distance_m < AT_TARGET_M
        return
    assert -180.0 <= found.turn_deg <= 180.0
    assert abs((course + found.turn_deg - found.bearing_deg + 180.0) % 360.0 - 180.0) < 1e-9
