"""Squares and their edges against definition, geodesics and sampling; chances against the normal law."""

from __future__ import annotations

import math
import random

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import example, given
from hypothesis import strategies as st

from core.fix import Position
from core.places.containment import (
    R95_OVER_SIGMA,
    bearing_uncertainty_deg,
    corner_radius_m,
    edges,
    nearest_edge,
    next_edge,
    probability_inside,
    square,
)
from core.places.geodesic import way
from core.places.locator import locator

LATITUDES, LONGITUDES = st.floats(-90, 90), st.floats(-180, 180)
COURSES = st.floats(0, 360, exclude_max=True)
CHARACTERS = st.sampled_from((4, 6, 8))
HERE = Position(47.01, 11.02)
"""Inside JN57ma, 0.01 degrees north of its south edge and 0.02 east of its west edge."""


def side_of(position: Position, characters: int, side: str) -> float:
    return next(edge.distance_m for edge in edges(position, characters) if edge.side == side)


def test_the_square_is_the_box_the_locator_names() -> None:
    assert square(HERE, 4) == ("JN57", 47.0, 10.0, 48.0, 12.0)
    assert square(HERE, 6) == ("JN57ma", 47.0, 11.0, 47 + 1 / 24, 11 + 1 / 12)
    assert square(HERE, 8) == pytest.approx(("JN57ma22", 47 + 2 / 240, 11 + 2 / 120, 47 + 3 / 240, 11 + 3 / 120))


@pytest.mark.parametrize("characters", [0, 2, 5, 10])
def test_other_lengths_are_refused(characters: int) -> None:
    with pytest.raises(ValueError, match="4, 6 or 8"):
        square(HERE, characters)


def test_the_pole_and_the_antimeridian_belong_to_the_last_row_and_the_first_column() -> None:
    assert square(Position(90.0, 180.0), 4) == ("AR09", 89.0, -180.0, 90.0, -178.0)
    assert square(Position(-90.0, 179.99), 4) == ("RA90", -90.0, 178.0, -89.0, 180.0)


@given(LATITUDES, LONGITUDES, CHARACTERS)
def test_the_square_holds_the_place_and_its_middle_has_the_same_locator(
    latitude: float, longitude: float, characters: int
) -> None:
    box = square(Position(latitude, longitude), characters)
    hair = 1e-12  # edges are rounded to the nearest double
    east = longitude if longitude < 180.0 else -180.0
    assert box.south_deg - hair <= latitude <= box.north_deg + hair
    assert box.west_deg - hair <= east <= box.east_deg + hair
    middle = Position((box.south_deg + box.north_deg) / 2, (box.west_deg + box.east_deg) / 2)
    assert locator(middle, characters) == box.locator


def test_the_nearest_edge_and_what_lies_beyond() -> None:
    """Distances by the geodesic library: along the meridian to a parallel, at right angles to a meridian."""
    found = nearest_edge(HERE)
    assert (found.side, found.bearing_deg, found.beyond) == ("south", 180.0, "JN56mx")
    assert found.distance_m == pytest.approx(way(HERE, Position(47.0, 11.02)).distance_m, abs=1e-6)
    by_side = {edge.side: edge for edge in edges(HERE)}
    assert {side: edge.beyond for side, edge in by_side.items()} == {
        "north": "JN57mb",
        "east": "JN57na",
        "south": "JN56mx",
        "west": "JN57la",
    }
    on_west = [way(HERE, Position(47.0 + n / 10_000, 11.0)).distance_m for n in range(200)]
    assert by_side["west"].distance_m == pytest.approx(min(on_west), abs=0.05)
    assert by_side["west"].distance_m <= min(on_west)
    assert by_side["west"].bearing_deg == pytest.approx(270.0 + 0.02 / 2 * math.sin(math.radians(47.01)) * 2, abs=1e-3)


def test_edges_next_to_the_antimeridian_and_the_poles() -> None:
    beyond = {edge.side: edge.beyond for edge in edges(Position(0.5, -179.5), 4)}
    assert beyond == {"north": "AJ01", "east": "AJ10", "south": "AI09", "west": "RJ90"}
    assert {edge.side for edge in edges(Position(89.5, 1.0), 4)} == {"east", "south", "west"}
    assert {edge.side for edge in edges(Position(-89.5, 1.0), 4)} == {"east", "north", "west"}


@given(LATITUDES, LONGITUDES, CHARACTERS, COURSES)
def test_no_way_to_the_outside_is_shorter_than_the_nearest_edge(
    latitude: float, longitude: float, characters: int, course: float
) -> None:
    place = Position(latitude, longitude)
    assert nearest_edge(place, characters).distance_m <= next_edge(place, course, None, characters).distance_m + 1e-3


@given(st.floats(-89.9, 89.9), LONGITUDES, CHARACTERS, COURSES)
@example(47.0, 8.0, 6, 90.0)
@example(-47.0, 180.0, 4, 270.0)
@example(89.5, 1.0, 4, 0.0)
@example(47.9999, 10.5, 4, 88.0)
@example(0.0, 0.0, 4, math.nextafter(360.0, 0.0))
def test_a_course_stays_inside_until_the_next_edge(
    latitude: float, longitude: float, characters: int, course: float
) -> None:
    place = Position(latitude, longitude)
    distance_m = next_edge(place, course, None, characters).distance_m
    box = square(place, characters)
    line = Geodesic.WGS84.Line(latitude, longitude, course)
    half_height, half_width = (box.north_deg - box.south_deg) / 2, (box.east_deg - box.west_deg) / 2
    for n in range(21):
        reached = line.Position(distance_m * n / 20)
        north = reached["lat2"] - (box.south_deg + half_height)
        east = math.remainder(reached["lon2"] - (box.west_deg + half_width), 360.0)
        slack_deg = 1e-9  # a tenth of a millimetre
        assert abs(north) <= half_height + slack_deg
        # At the pole every longitude is the right one.
        close_deg = slack_deg / max(math.cos(math.radians(reached["lat2"])), 1e-9)
        assert abs(east) <= half_width + close_deg


@given(
    st.floats(-85, 85), LONGITUDES, CHARACTERS, st.sampled_from((10.0, 80.0, 100.0, 170.0, 190.0, 260.0, 280.0, 350.0))
)
def test_just_after_the_next_edge_the_locator_is_the_one_told(
    latitude: float, longitude: float, characters: int, course: float
) -> None:
    place = Position(latitude, longitude)
    found = next_edge(place, course, None, characters)
    reached = Geodesic.WGS84.Direct(latitude, longitude, course, found.distance_m + 0.01)
    named = locator(Position(reached["lat2"], reached["lon2"]), characters)
    # Within a few centimetres of a corner the square across it comes next.
    back = Geodesic.WGS84.Direct(latitude, longitude, course, found.distance_m)
    box = square(place, characters)
    corners = [Position(lat, lon) for lat in (box.south_deg, box.north_deg) for lon in (box.west_deg, box.east_deg)]
    from_corner_m = min(way(Position(back["lat2"], back["lon2"]), corner).distance_m for corner in corners)
    assert named == found.beyond or from_corner_m < 0.1 or (named == box.locator and found.distance_m < 1e-6)


def test_the_next_edge_comes_with_a_time_at_this_speed() -> None:
    found = next_edge(HERE, 180.0, 1.25)
    assert (found.side, found.beyond) == ("south", "JN56mx")
    assert found.seconds == pytest.approx(found.distance_m / 1.25)
    assert next_edge(HERE, 180.0, None).seconds is None
    assert next_edge(HERE, 180.0, 0.0).seconds is None
    assert next_edge(HERE, 180.0, math.nan).seconds is None


@pytest.mark.parametrize(("latitude", "course"), [(-89.0, 180.0), (-89 + 1 / 24, 170.0), (-89 + 1 / 24, 135.0)])
def test_on_the_south_edge_and_heading_south_one_leaves_at_once(latitude: float, course: float) -> None:
    """Rounding puts the crossing a hair behind: that is here, not once round the Earth."""
    found = next_edge(Position(latitude, 3.3), course, 1.0)
    assert (found.side, found.distance_m, found.seconds) == ("south", 0.0, 0.0)


def test_across_the_pole_no_one_square_comes_next() -> None:
    found = next_edge(Position(89.5, 1.0), 0.0, None, 4)
    assert (found.side, found.beyond) == ("north", "")
    assert found.distance_m == pytest.approx(way(Position(89.5, 1.0), Position(90.0, 0.0)).distance_m, abs=1e-3)


def test_a_geodesic_that_bulges_out_over_the_north_edge_leaves_there() -> None:
    """It starts a metre below the edge, heading a little north of east, and would be back before the east edge."""
    place = Position(48.0 - 1e-5, 10.1)
    found = next_edge(place, 89.9, None, 4)
    assert (found.side, found.beyond) == ("north", "JN58")
    assert found.distance_m < 1000.0


def test_on_the_edge_one_of_two_and_far_from_it_certain() -> None:
    assert probability_inside(Position(47.0, 11.04), 10.0) == pytest.approx(0.5, abs=1e-9)
    assert probability_inside(Position(47.0, 11.0), 10.0) == pytest.approx(0.25, abs=1e-9)
    assert probability_inside(HERE, 10.0) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("sigma_m", "away_m", "chance"), [(2.0, 3.29, 0.95), (2.0, 4.65, 0.99), (4.0, 6.58, 0.95), (4.0, 9.31, 0.99)]
)
def test_so_far_from_an_edge_one_is_so_sure(sigma_m: float, away_m: float, chance: float) -> None:
    """Figures of trade-facts.md i, one-sided: 3.3 and 4.7 m at sigma 2 m, 6.6 and 9.3 m at sigma 4 m."""
    reached = Geodesic.WGS84.Direct(47.0, 11.04, 0.0, away_m)
    place = Position(reached["lat2"], reached["lon2"])
    assert probability_inside(place, R95_OVER_SIGMA * sigma_m) == pytest.approx(chance, abs=0.0006)


def test_the_chance_is_what_throwing_darts_finds() -> None:
    """Against the circular normal law on the ellipsoid, with no rectangle assumed: a coarse error, near a corner."""
    place, error_95_m = Position(60.01, 11.02), 2000.0
    dice = random.Random(5)
    sigma_m, inside, throws = error_95_m / R95_OVER_SIGMA, 0, 5_000
    for _ in range(throws):
        east, north = dice.gauss(0, sigma_m), dice.gauss(0, sigma_m)
        hit = Geodesic.WGS84.Direct(*place, math.degrees(math.atan2(east, north)), math.hypot(east, north))
        inside += locator(Position(hit["lat2"], hit["lon2"])) == locator(place)
    # Four standard deviations of the throws.
    assert probability_inside(place, error_95_m) == pytest.approx(inside / throws, abs=4 * 0.5 / math.sqrt(throws))


@pytest.mark.parametrize("error_95_m", [-1.0, math.nan])
def test_an_error_that_is_none_is_refused(error_95_m: float) -> None:
    with pytest.raises(ValueError, match="95 % error"):
        probability_inside(HERE, error_95_m)


@given(LATITUDES, LONGITUDES, st.floats(0, 1e7), CHARACTERS)
def test_a_chance_is_from_zero_to_one(latitude: float, longitude: float, error_95_m: float, characters: int) -> None:
    assert 0.0 <= probability_inside(Position(latitude, longitude), error_95_m, characters) <= 1.0


def test_the_factor_from_95_per_cent_to_sigma() -> None:
    """2.447747: the radius that holds 95 % of circular normal errors (accuracy.toml, 1.730818 DRMS)."""
    assert pytest.approx(1.730818 * math.sqrt(2), abs=2e-6) == R95_OVER_SIGMA


def test_no_error_is_certainty_inside() -> None:
    assert probability_inside(HERE, 0.0) == 1.0


def test_how_coarse_a_locator_is() -> None:
    """A subsquare at the equator is 9.28 by 4.61 km; half its diagonal is 5.18 km, and less towards the poles."""
    assert corner_radius_m(square(Position(0.01, 0.01), 6)) == pytest.approx(5180.0, abs=5.0)
    assert corner_radius_m(square(HERE, 6)) < 4000.0
    box = square(Position(-47.01, 11.02), 6)
    assert corner_radius_m(box) == pytest.approx(corner_radius_m(square(HERE, 6)), abs=1e-6)


@pytest.mark.parametrize(
    ("km", "radius_m", "deg"),
    [(50, 4000, 4.6), (100, 4000, 2.3), (200, 4000, 1.1), (10, 400, 2.3), (50, 400, 0.46), (100, 400, 0.23)],
)
def test_the_published_bearing_uncertainties_of_one_coarse_end(km: float, radius_m: float, deg: float) -> None:
    """Figures of trade-facts.md i, for half diagonals of 4 km and 400 m."""
    assert bearing_uncertainty_deg(km * 1000.0, radius_m, 0.0) == pytest.approx(deg, abs=0.051)


def test_both_ends_count_and_overlapping_ones_leave_nothing() -> None:
    assert bearing_uncertainty_deg(10_000.0, 2000.0, 3000.0) == pytest.approx(30.0, abs=0.001)
    assert bearing_uncertainty_deg(10_000.0, 3000.0, 2000.0) == bearing_uncertainty_deg(10_000.0, 2000.0, 3000.0)
    assert bearing_uncertainty_deg(5000.0, 2500.0, 2500.0) == 180.0
    assert bearing_uncertainty_deg(0.0, 0.0, 0.0) == 0.0
    assert bearing_uncertainty_deg(10_000_000.0, 15_000_000.0, 0.0) == 180.0
    assert bearing_uncertainty_deg(20_015_000.0, 4000.0, 0.0) == 180.0


BEARINGS_AND_LENGTHS = st.tuples(COURSES, st.floats(10_000, 15_000_000))


@given(st.builds(Position, st.floats(-60, 60), LONGITUDES), BEARINGS_AND_LENGTHS, COURSES, st.floats(0, 4000))
def test_no_place_within_the_circle_is_farther_off_than_told(
    start: Position, leg: tuple[float, float], astray: float, radius_m: float
) -> None:
    there = Geodesic.WGS84.Direct(*start, *leg)
    moved = Geodesic.WGS84.Direct(there["lat2"], there["lon2"], astray, radius_m)
    bearing = Geodesic.WGS84.Inverse(*start, moved["lat2"], moved["lon2"])["azi1"]
    off = abs(math.remainder(bearing - leg[0], 360.0))
    # Two per cent: the bound is worked out on a sphere.
    assert off <= 1.02 * bearing_uncertainty_deg(leg[1], radius_m, 0.0) + 1e-6
