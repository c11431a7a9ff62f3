"""The nearest stations against brute force by the geodesic, radio horizon and contest distance against their rules."""

from __future__ import annotations

import math
import random

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.nearest import Finder, Here
from core.places.contest import contest_km, degrees_between
from core.radio_horizon import both_horizons_m, horizon_m
from core.stations import Station

HOSTILE = (
    Position(90.0, 0.0), Position(-90.0, 77.0), Position(0.0, 180.0), Position(0.0, -180.0), Position(12.0, 179.9999),
    Position(-12.0, -179.9999), Position(0.0, 0.0), Position(89.9999, -120.0),
)  # fmt: skip


def scattered(count: int, seed: int) -> list[Station]:
    """Invented: uniform over the globe, with the poles, the antimeridian and a crowd on one hill."""
    draw = random.Random(seed)
    over = [Position(math.degrees(math.asin(draw.uniform(-1, 1))), draw.uniform(-180, 180)) for _ in range(count - 40)]
    crowd = [Position(draw.gauss(41, 0.01), draw.gauss(179.999, 0.01)) for _ in range(32)]
    wrapped = [Position(one[0], (one[1] + 180) % 360 - 180) for one in crowd]
    return [Station(f"QX{n}", position=one, row=n) for n, one in enumerate([*over, *wrapped, *HOSTILE])]


def brute(here: Position, stations: list[Station], count: int) -> list[str]:
    """By the library's own geodesic, every one of them."""

    def far(one: Station) -> float:
        assert one.position
        return float(Geodesic.WGS84.Inverse(*here, *one.position, Geodesic.DISTANCE)["s12"])

    return [one.call for one in sorted(stations, key=far)[:count]]


STATIONS = scattered(1000, 11)
FINDER = Finder(STATIONS)


@pytest.mark.parametrize("here", [*HOSTILE, Position(41.0, 180.0), Position(-41.0, -0.001), Position(33.3, -151.2)])
def test_the_order_is_that_of_brute_force_over_the_whole_globe(here: Position) -> None:
    """All 1,000 of them, so that near-antipodal ones are in it too."""
    found = [near.station.call for near in FINDER.nearest(Here(here), len(STATIONS))]
    expected = brute(here, STATIONS, len(STATIONS))
    ways = {near.station.call: near.way.distance_m for near in FINDER.nearest(Here(here), len(STATIONS))}
    assert [ways[call] for call in found] == pytest.approx([ways[call] for call in expected], abs=1e-6)
    assert set(found) == set(expected)


@given(st.floats(-90, 90), st.floats(-180, 180), st.integers(1, 30))
def test_the_first_few_are_those_of_brute_force(latitude: float, longitude: float, count: int) -> None:
    here = Position(latitude, longitude)
    found = FINDER.nearest(Here(here), count)
    expected = brute(here, STATIONS, count)
    by_call = {one.call: one for one in STATIONS}
    for near, call in zip(found, expected, strict=True):
        position = by_call[call].position
        assert position
        exact = Geodesic.WGS84.Inverse(*here, *position)["s12"]
        assert near.way.distance_m == pytest.approx(exact, abs=1e-6)


def test_where_all_lie_on_one_parallel_the_nearest_are_found_among_all_of_them() -> None:
    """Nothing is told apart by latitude there: the widest band is looked through."""
    ring = [Station(f"QX{n}", position=Position(41.0, (n * 7.0) % 360 - 180), row=n) for n in range(360)]
    found = Finder(ring).nearest(Here(Position(41.0, 0.2)), 3)
    assert [near.station.call for near in found] == brute(Position(41.0, 0.2), ring, 3)


def test_of_equally_near_ones_the_first_of_the_lists_comes_first() -> None:
    twins = [Station(f"QX{n}", position=Position(41.0, 179.0), row=n) for n in range(300)]
    finder = Finder([*STATIONS, *twins])
    for numbers in (range(len(finder.stations)), [*range(len(finder.stations))]):
        found = finder.nearest_of(Here(Position(41.0, 179.0)), 5, numbers)
        assert [near.station.row for near in found] == [0, 1, 2, 3, 4]


@given(st.floats(-90, 90), st.floats(-180, 180), st.integers(1, 300))
def test_all_as_a_range_and_all_by_number_are_the_same(latitude: float, longitude: float, count: int) -> None:
    here, numbers = Here(Position(latitude, longitude)), range(len(FINDER.stations))
    assert FINDER.nearest_of(here, count, numbers) == FINDER.nearest_of(here, count, [*numbers])


def test_only_wanted_stations_are_found_and_those_without_a_place_never() -> None:
    finder = Finder([*STATIONS, Station("QX-LOST")])
    wanted = finder.nearest(Here(Position(41.0, 179.9)), 5, lambda one: one.row % 2 == 0)
    assert len(wanted) == 5
    assert all(near.station.row % 2 == 0 for near in wanted)
    assert len(finder.nearest(Here(Position(0.0, 0.0)), 5000)) == len(STATIONS)
    assert finder.nearest(Here(Position(0.0, 0.0)), 5, lambda _: False) == ()


def test_on_the_spot_there_is_no_bearing() -> None:
    near = Finder([Station("QX1AA", position=Position(41.0, 179.0))]).nearest(Here(Position(41.0, 179.0)), 1)[0]
    assert near.bearing_deg is None


def test_a_bearing_is_uncertain_by_how_coarse_both_ends_are_and_unknown_where_one_is_not_known() -> None:
    station = Station("QX1AA", position=Position(41.0, 179.5), radius_m=4000.0)
    here = Position(41.0, 179.0)
    exact, unknown = (Finder([station]).nearest(Here(here, radius), 1)[0].uncertainty_deg for radius in (0.0, None))
    assert exact == pytest.approx(math.degrees(math.asin(4000 / 42_071)), rel=1e-3)  # half a degree of longitude
    assert unknown is None


@pytest.mark.parametrize(("height_m", "km"), [(2, 5.8), (10, 13), (100, 41), (500, 92), (1000, 130)])
def test_the_radio_horizon_is_that_of_the_table(height_m: float, km: float) -> None:
    """trade-facts.md, section i (S61, FS-1037C, and a calculation from it), printed to two or three figures."""
    found = horizon_m(height_m)
    assert found is not None
    assert found / 1000 == pytest.approx(km, abs=0.5 if km > 10 else 0.05)


def test_the_horizon_is_that_of_an_earth_of_four_thirds() -> None:
    """sqrt(2 k R h) with k = 4/3 and R = 6371 km, against the rounded 4.12."""
    assert horizon_m(100.0) == pytest.approx(math.sqrt(2 * 4 / 3 * 6_371_000 * 100), rel=6e-4)


def test_two_horizons_add_up_and_an_unknown_height_has_none() -> None:
    assert both_horizons_m(2.0, 100.0) == pytest.approx(5826.5 + 41_200, abs=1)
    assert both_horizons_m(None, 100.0) is None
    assert both_horizons_m(2.0, -5.0) is None


def test_contest_distance_is_between_the_middles_of_sub_squares_on_a_sphere() -> None:
    """Worked by hand: one degree of latitude between two middles is 111.2 km (the rules' figure, from memory)."""
    assert contest_km(Position(41.01, 179.05), Position(42.02, 179.01)) == pytest.approx(111.2, abs=1e-9)
    assert contest_km(Position(41.001, 179.001), Position(41.04, 179.08)) == 0.0


@given(st.floats(-90, 90), st.floats(-180, 180), st.floats(-90, 90), st.floats(-180, 180))
def test_the_arc_is_that_of_vectors(a: float, b: float, c: float, d: float) -> None:
    """An independent way: the angle between unit vectors by atan2 of cross and dot product."""

    def vector(latitude: float, longitude: float) -> tuple[float, float, float]:
        north, east = math.radians(latitude), math.radians(longitude)
        return math.cos(north) * math.cos(east), math.cos(north) * math.sin(east), math.sin(north)

    p, q = vector(a, b), vector(c, d)
    cross = (p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0])
    expected = math.degrees(math.atan2(math.hypot(*cross), math.fsum(x * y for x, y in zip(p, q, strict=True))))
    assert degrees_between(Position(a, b), Position(c, d)) == pytest.approx(expected, abs=2e-6)
