"""The map's plane against geographiclib's geodesics, everywhere; dots and positions as inverses."""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, radians, sin

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import example, given
from hypothesis import strategies as st

from core.fix import Position
from core.map_view import DOT_STEPS_M, MapView, Plane, is_place, position_of, round_length_m, vector
from core.places.geodesic import way
from tests.walks import laid

ORIGINS = (
    Position(0.0, 0.0),
    Position(10.5, -20.25),
    Position(-52.0, 179.9999),
    Position(0.0, -180.0),
    Position(89.9999, 40.0),
    Position(90.0, 0.0),
    Position(-90.0, 0.0),
)
BEARINGS = tuple(range(0, 360, 40))
anywhere = st.builds(Position, st.floats(-90, 90), st.floats(-180, 180))


@pytest.mark.parametrize("origin", ORIGINS)
@pytest.mark.parametrize("metres", [1.0, 300.0, 20_000.0, 50_000.0])
def test_distance_and_direction_from_the_origin_are_the_geodesic_s(origin: Position, metres: float) -> None:
    plane = Plane(origin)
    for bearing in BEARINGS:
        east, north = plane.east_north(vector(laid(origin, bearing, metres)))
        assert hypot(east, north) == pytest.approx(metres, rel=1e-6)
        assert (degrees(atan2(east, north)) - bearing + 180) % 360 - 180 == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize("origin", ORIGINS)
def test_distances_between_places_hold_to_a_thousandth_over_50_km(origin: Position) -> None:
    """The promise is 0.1 %; the plane keeps a hundredth of that."""
    places = [laid(origin, bearing, 25_000.0 * (1 + bearing % 80 / 80)) for bearing in BEARINGS]
    flat = Plane(origin).all_east_north(map(vector, places))
    for place, (east, north) in zip(places, flat, strict=True):
        for other, (east_2, north_2) in zip(places, flat, strict=True):
            if other != place:
                assert hypot(east - east_2, north - north_2) == pytest.approx(way(place, other).distance_m, rel=1e-4)


def test_the_antimeridian_is_no_edge() -> None:
    west, east = Position(-17.0, 179.9999), Position(-17.0, -179.9999)
    x, y = Plane(west).east_north(vector(east))
    assert x == pytest.approx(Geodesic.WGS84.Inverse(*west, *east)["s12"], abs=1e-3)
    assert y == pytest.approx(0, abs=1e-3)


def test_the_pole_is_walked_across() -> None:
    """Eleven metres short of it, and eleven beyond."""
    short, beyond = Position(89.9999, 40.0), Position(89.9999, -140.0)
    assert Plane(short).east_north(vector(beyond)) == pytest.approx((0, 22.33873), abs=1e-3)


@given(anywhere)
@example(Position(90.0, 12.0))
@example(Position(-90.0, 12.0))
@example(Position(12.0, 180.0))
def test_a_vector_and_back(place: Position) -> None:
    found = position_of(vector(place))
    assert Geodesic.WGS84.Inverse(*place, *found)["s12"] < 1e-6


@given(anywhere, st.floats(0, 360), st.floats(0, 2_000_000))
@example(Position(90.0, 0.0), 77.0, 1_000.0)
@example(Position(0.0, 180.0), 90.0, 5_000.0)
def test_metres_and_back(origin: Position, bearing: float, metres: float) -> None:
    plane = Plane(origin)
    east, north = metres * sin(radians(bearing)), metres * cos(radians(bearing))
    assert plane.east_north(vector(plane.position(east, north))) == pytest.approx((east, north), abs=1e-3)


@given(anywhere, anywhere)
def test_the_whole_world_has_a_place_on_it(origin: Position, place: Position) -> None:
    """Half round the world is 20,004 km by the poles (WGS 84), nothing lies farther off."""
    east, north = Plane(origin).east_north(vector(place))
    distance = way(origin, place).distance_m
    assert hypot(east, north) == pytest.approx(distance, rel=0.01, abs=0.01)


def test_dots_are_counted_from_the_upper_left_and_north_is_up() -> None:
    shown = MapView(Plane(ORIGINS[1]), 2.0, (121, 97))
    assert shown.middle == (60, 48)
    assert shown.dot(vector(ORIGINS[1])) == pytest.approx((60, 48))
    assert shown.dot(vector(laid(ORIGINS[1], 90, 20))) == pytest.approx((70, 48), abs=1e-3)
    assert shown.dot(vector(laid(ORIGINS[1], 0, 20))) == pytest.approx((60, 38), abs=1e-3)


@pytest.mark.parametrize("step", DOT_STEPS_M[:12])
def test_a_dot_and_back(step: float) -> None:
    shown = MapView(Plane(Position(-17.0, 179.9998)), step, (120, 96), (30.0, -20.0))
    for dot in ((0.0, 0.0), (119.0, 95.0), (33.5, 60.25)):
        assert shown.dot(vector(shown.place(*dot))) == pytest.approx(dot, abs=1e-2)


def test_a_moved_map_shows_what_lies_there() -> None:
    shown = MapView(Plane(ORIGINS[1]), 5.0, (120, 96))
    moved = shown.moved(12, -7)
    x, y = shown.dot(vector(laid(ORIGINS[1], 33, 80)))
    assert moved.dot(vector(laid(ORIGINS[1], 33, 80))) == pytest.approx((x - 12, y + 7))


def test_what_the_middle_holds() -> None:
    shown = MapView(Plane(ORIGINS[0]), 1.0, (100, 50))
    assert shown.holds((50 + 29.9, 25 - 14.9), 0.6)
    assert not shown.holds((50 + 30.1, 25), 0.6)
    assert not shown.holds((50, 25 + 15.1), 0.6)


@given(anywhere, st.floats(0, 360), st.tuples(st.floats(0, 8e6), st.floats(0, 1e5)), st.sampled_from(DOT_STEPS_M))
def test_nothing_that_can_be_seen_is_skipped(
    origin: Position, bearing: float, lengths_m: tuple[float, float], step: float
) -> None:
    away_m, reach_m = lengths_m
    shown = MapView(Plane(origin), step, (120, 96))
    seen = laid(origin, bearing, away_m)
    if shown.holds(shown.dot(vector(seen))):
        centre = laid(seen, bearing + 77, reach_m * 0.99)
        assert shown.may_show(vector(centre), reach_m)


def test_what_is_far_off_is_skipped() -> None:
    shown = MapView(Plane(ORIGINS[1]), 1.0, (120, 96))
    assert not shown.may_show(vector(laid(ORIGINS[1], 70, 1_000)), 100.0)


@pytest.mark.parametrize(
    ("step", "dots", "metres"), [(0.5, 40, 20), (1, 40, 20), (2, 40, 50), (5, 30, 100), (500_000, 30, 1e7), (1, 5, 5)]
)
def test_the_scale_is_a_round_length(step: float, dots: float, metres: float) -> None:
    assert round_length_m(step, dots) == pytest.approx(metres)


@pytest.mark.parametrize("place", [(float("nan"), 0.0), (0.0, float("inf")), (90.1, 0.0)])
def test_nowhere_is_no_place(place: tuple[float, float]) -> None:
    assert not is_place(Position(*place))
