"""Satellites in the sky of a place, and what hides them: cases by hand, and PROJ's topocentric frame."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from pyproj import Transformer

from core.errors import InputError
from core.fix import Position
from core.rehearsal.look import OPEN_SKY, Seen, Surroundings, Wall, blocked, place_m, seen_from, street
from core.rehearsal.orbits import constellation, ecef_m

WHEN = datetime(2026, 11, 25, 6, 0, tzinfo=UTC)
SATS = constellation("GRECS", WHEN)
BY_NAME = {sat.name: sat for sat in SATS}


def at(azimuth_deg: float, elevation_deg: float) -> Seen:
    """A satellite in this direction."""
    azimuth, elevation = math.radians(azimuth_deg), math.radians(elevation_deg)
    level = math.cos(elevation)
    unit = (level * math.sin(azimuth), level * math.cos(azimuth), math.sin(elevation))
    return Seen(SATS[0], azimuth_deg, elevation_deg, unit, 2.2e7)


@given(
    latitude=st.floats(-90.0, 90.0),
    longitude=st.floats(-180.0, 180.0),
    height=st.floats(-400.0, 9000.0),
    seconds=st.floats(0.0, 86_400.0),
)
@example(latitude=90.0, longitude=0.0, height=0.0, seconds=0.0)
@example(latitude=-90.0, longitude=180.0, height=2800.0, seconds=1.0)
@example(latitude=0.0, longitude=28.0, height=0.0, seconds=0.0)
def test_directions_are_those_of_the_projection_library(
    latitude: float, longitude: float, height: float, seconds: float
) -> None:
    """East, north and up of every satellite, by PROJ from the same place: a tenth of a millimetre."""
    frame = Transformer.from_pipeline(
        f"+proj=topocentric +ellps=WGS84 +lon_0={longitude!r} +lat_0={latitude!r} +h_0={height!r}"
    )
    seen = {one.sat.name: one for one in seen_from(Position(latitude, longitude), height, SATS, seconds)}
    for sat in SATS:
        east, north, up = frame.transform(*ecef_m(sat, seconds))
        if sat.name not in seen:
            assert up < 1e-3
            continue
        ours = seen[sat.name]
        assert [part * ours.range_m for part in ours.unit] == pytest.approx([east, north, up], abs=1e-4)
        assert 0.0 <= ours.azimuth_deg < 360.0
        assert 0.0 < ours.elevation_deg <= 90.0


@given(st.integers(0, 86_399))
def test_angles_say_the_same_as_the_unit_vector(seconds: int) -> None:
    for one in seen_from(Position(47.2, 8.4), 430.0, SATS, float(seconds)):
        assert one.unit == pytest.approx(at(one.azimuth_deg, one.elevation_deg).unit, abs=1e-12)
        assert math.hypot(*one.unit) == pytest.approx(1.0, abs=1e-15)


def test_a_geostationary_satellite_from_the_equator() -> None:
    """By hand, on the circle of the equator: due east or west, tan(elevation) = (cos d - a / r) / sin d."""
    sat = BY_NAME["S48"]  # at 28 E
    overhead = seen_from(Position(0.0, 28.0), 0.0, [sat], WHEN)[0]
    assert overhead.elevation_deg == pytest.approx(90.0, abs=1e-6)
    assert overhead.range_m == pytest.approx(sat.radius_m - 6_378_137.0, abs=1e-3)
    east = seen_from(Position(0.0, -22.0), 0.0, [sat], WHEN)[0]
    away = math.radians(50.0)
    expected = math.degrees(math.atan2(math.cos(away) - 6_378_137.0 / sat.radius_m, math.sin(away)))
    assert east.azimuth_deg == pytest.approx(90.0)
    assert east.elevation_deg == pytest.approx(expected)
    assert seen_from(Position(0.0, 78.0), 0.0, [sat], WHEN)[0].azimuth_deg == pytest.approx(270.0)
    assert seen_from(Position(50.0, 28.0), 0.0, [sat], WHEN)[0].azimuth_deg == pytest.approx(180.0)
    assert seen_from(Position(0.0, 28.0 - 82.0), 0.0, [sat], WHEN) == []  # the limit is acos(a / r) = 81.3 degrees


def test_those_below_the_horizon_are_left_out_and_the_order_kept() -> None:
    seen = seen_from(Position(47.2, 8.4), 430.0, SATS, WHEN)
    names = [one.sat.name for one in seen]
    assert names == [name for name in BY_NAME if name in names]
    assert 25 < len(names) < 50  # of 102, a good third: what four systems show
    assert {name[0] for name in names} == set("GRECS")


def test_a_place_is_where_the_ellipsoid_has_it() -> None:
    """WGS 84: the pole is 6,356,752.3142 m from the middle (NGA.STND.0036, derived)."""
    assert place_m(Position(90.0, 0.0), 0.0) == pytest.approx((0.0, 0.0, 6_356_752.3142), abs=1e-4)
    assert place_m(Position(0.0, 90.0), 100.0) == pytest.approx((0.0, 6_378_237.0, 0.0), abs=1e-6)


def test_the_open_sky_hides_nothing() -> None:
    assert blocked(at(10.0, 0.01), OPEN_SKY) == "clear"
    assert Surroundings() == OPEN_SKY


def test_the_land_hides_what_is_below_its_edge() -> None:
    valley = Surroundings(mask_deg=15.0)
    assert [blocked(at(200.0, high), valley) for high in (14.9, 15.0, 60.0)] == ["blocked", "clear", "clear"]


def test_a_wall_stands_in_its_sector_only() -> None:
    house = Surroundings(walls=(Wall(100.0, 140.0, 30.0),))
    inside = [blocked(at(azimuth, 29.0), house) for azimuth in (99.9, 100.0, 120.0, 140.0, 140.1)]
    assert inside == ["clear", "blocked", "blocked", "blocked", "clear"]
    assert blocked(at(120.0, 31.0), house) == "clear"


@pytest.mark.parametrize("wall", [Wall(350.0, 10.0, 30.0), Wall(-10.0, 10.0, 30.0)])
def test_a_wall_may_cross_north(wall: Wall) -> None:
    north = Surroundings(walls=(wall,))
    hidden = [azimuth for azimuth in range(360) if blocked(at(float(azimuth), 20.0), north) == "blocked"]
    assert hidden == [*range(11), *range(350, 360)]


def test_a_wall_may_go_all_round_and_the_highest_counts() -> None:
    yard = Surroundings(walls=(Wall(0.0, 360.0, 20.0), Wall(80.0, 100.0, 50.0), Wall(90.0, 95.0, 40.0)))
    assert [yard.wall_deg(azimuth) for azimuth in (0.0, 79.0, 92.0, 101.0, 359.99)] == [20.0, 20.0, 50.0, 20.0, 20.0]


def test_leaves_shade_and_walls_behind_them_hide() -> None:
    wood = Surroundings(mask_deg=10.0, canopy_db=12.0)
    assert [blocked(at(0.0, high), wood) for high in (5.0, 45.0, 90.0)] == ["blocked", "shaded", "shaded"]
    glade = Surroundings(canopy_db=12.0, canopy_below_deg=40.0)
    assert [blocked(at(0.0, high), glade) for high in (39.0, 41.0)] == ["shaded", "clear"]
    assert blocked(at(0.0, 39.0), Surroundings(canopy_below_deg=40.0)) == "clear"  # no loss, no leaves


@pytest.mark.parametrize(
    ("sizes_m", "off_street_deg", "expected_deg"),
    [
        ((10.0, 20.0), 90.0, 45.0),  # straight across: as high as it is far
        ((10.0, 20.0), 270.0, 45.0),
        ((10.0, 20.0), 30.0, 26.565),  # twice as far: atan(1/2)
        ((10.0, 20.0), 150.0, 26.565),
        ((10.0, 20.0), 210.0, 26.565),
        ((10.0, 20.0), 45.0, 35.264),  # atan(sqrt(1/2))
        ((15.0, 10.0), 90.0, 71.565),  # atan(3)
        ((10.0, 20.0), 0.0, 0.0),  # along it
        ((10.0, 20.0), 180.0, 0.0),
        ((1000.0, 1.0), 181.0, 0.0),  # still its open end: the first sector begins 2.5 degrees off
    ],
)
@pytest.mark.parametrize("heading_deg", [0.0, 75.0, 350.0])
def test_a_street_by_hand(
    heading_deg: float, sizes_m: tuple[float, float], off_street_deg: float, expected_deg: float
) -> None:
    canyon = Surroundings(walls=street(heading_deg, *sizes_m))
    assert canyon.wall_deg((heading_deg + off_street_deg) % 360.0) == pytest.approx(expected_deg, abs=0.001)


@given(
    heading=st.floats(0.0, 359.0),
    azimuth=st.floats(0.0, 359.9),
    elevation=st.floats(1.0, 89.0),
    height=st.floats(3.0, 60.0),
    width=st.floats(5.0, 40.0),
)
def test_a_ray_is_hidden_where_it_meets_a_house(
    *, heading: float, azimuth: float, elevation: float, height: float, width: float
) -> None:
    """Follow the ray until it is half a width aside of the street: is it under the roof there?

    Exact but for the sectors: the ray may as well have gone 2.6 degrees to either side.
    """
    hidden = [_meets_house(azimuth - heading + turn, elevation, height, width) for turn in (-2.6, 0.0, 2.6)]
    canyon = Surroundings(walls=street(heading, height, width))
    found = blocked(at(azimuth, elevation), canyon) == "blocked"
    assert found in hidden or abs(math.remainder(azimuth - heading, 180.0)) < 2.6


def _meets_house(off_street_deg: float, elevation_deg: float, height_m: float, width_m: float) -> bool:
    aside, up = abs(math.sin(math.radians(off_street_deg))), math.tan(math.radians(elevation_deg))
    return aside > 0.0 and up * (width_m / 2) / aside < height_m


WALLS = st.builds(Wall, st.floats(-360.0, 359.0), st.floats(-359.0, 360.0), st.floats(0.0, 90.0)).filter(
    lambda wall: wall.span_deg > 0.0
)


@given(st.lists(WALLS, max_size=8), st.floats(0.0, 360.0))
def test_the_index_by_degrees_leaves_out_no_wall(walls: list[Wall], azimuth: float) -> None:
    scanned = max((wall.elevation_deg for wall in walls if wall.covers(azimuth)), default=0.0)
    assert Surroundings(walls=tuple(walls)).wall_deg(azimuth) == scanned


@pytest.mark.parametrize(
    ("figures", "says"),
    [
        ({"mask_deg": math.nan}, "mask_deg is nan: give a figure from 0 to 90"),
        ({"mask_deg": 91.0}, "mask_deg"),
        ({"canopy_db": -1.0}, "canopy_db"),
        ({"canopy_below_deg": math.inf}, "canopy_below_deg"),
        ({"walls": (Wall(0.0, 10.0, 20.0), Wall(0.0, 10.0, 90.5))}, "Elevation of wall 2"),
        ({"walls": (Wall(math.nan, 10.0, 20.0),)}, "Wall 1 has no direction"),
        ({"walls": (Wall(0.0, 1e300, 20.0),)}, "Wall 1 has no direction"),
        ({"walls": (Wall(10.0, 10.0, 20.0),)}, "for all round give 0 and 360"),
    ],
)
def test_surroundings_that_cannot_be_say_so(figures: dict[str, float], says: str) -> None:
    with pytest.raises(InputError, match=says):
        Surroundings(**figures)  # type: ignore[arg-type]  # one table for fields of two types


@pytest.mark.parametrize(
    "figures", [(math.nan, 10.0, 10.0), (0.0, 0.0, 10.0), (0.0, 10.0, math.inf), (0.0, 10.0, -1.0)]
)
def test_a_street_that_cannot_be_says_so(figures: tuple[float, float, float]) -> None:
    with pytest.raises(InputError, match="A street takes"):
        street(*figures)
