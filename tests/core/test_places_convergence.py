"""Grid convergence against another library's figures, and which grid applies where."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.places.convergence import Convergence, convergence, grid_from_true, utm_zone
from tests.tables import rows

TABLE = rows("utm_convergence.csv")
TOLERANCE_DEG = 1e-9


def test_the_table_is_whole() -> None:
    assert len(TABLE) == 23


@pytest.mark.parametrize("row", TABLE, ids=[f"{row['lat']} {row['lon']}" for row in TABLE])
def test_the_computed_convergence(row: dict[str, str]) -> None:
    found = convergence(Position(float(row["lat"]), float(row["lon"])))
    assert found.grid == f"UTM {row['zone']}"
    assert found.deg == pytest.approx(float(row["convergence_deg"]), abs=TOLERANCE_DEG, rel=0)


@pytest.mark.parametrize(("latitude", "deg"), [(35.0, 1.7), (51.0, 2.3), (60.0, 2.6)])
def test_three_degrees_from_the_central_meridian(latitude: float, deg: float) -> None:
    """Figures of trade-facts.md e."""
    assert convergence(Position(latitude, 11.9999)).deg == pytest.approx(deg, abs=0.05)
    assert convergence(Position(-latitude, 11.9999)).deg == pytest.approx(-deg, abs=0.05)


@pytest.mark.parametrize(
    ("latitude", "longitude", "deg", "grid"),
    [
        (84.0, 25.0, 25.0, "UPS north"),
        (90.0, -170.0, -170.0, "UPS north"),
        (-80.000001, 25.0, -25.0, "UPS south"),
        (-90.0, -170.0, 170.0, "UPS south"),
    ],
)
def test_beyond_utm_the_convergence_is_the_longitude(latitude: float, longitude: float, deg: float, grid: str) -> None:
    assert convergence(Position(latitude, longitude)) == Convergence(deg, grid)


def test_utm_reaches_from_80_south_to_below_84_north() -> None:
    assert convergence(Position(-80.0, 3.0)).grid == "UTM 31"
    assert convergence(Position(math.nextafter(84.0, 0.0), 5.0)).grid == "UTM 31"


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [
        (0.0, -180.0, 1),
        (0.0, 180.0, 1),
        (0.0, 179.999, 60),
        (0.0, 0.0, 31),
        (0.0, -0.001, 30),
        (55.999, 3.0, 31),
        (56.0, 3.0, 32),
        (56.0, 2.999, 31),
        (63.999, 5.0, 32),
        (64.0, 5.0, 31),
        (71.999, 8.0, 32),
        (72.0, 8.0, 31),
        (72.0, 9.0, 33),
        (75.0, 20.999, 33),
        (75.0, 21.0, 35),
        (75.0, 33.0, 37),
        (75.0, 41.999, 37),
        (75.0, 42.0, 38),
    ],
)
def test_the_zones_and_their_wider_neighbours(latitude: float, longitude: float, zone: int) -> None:
    assert utm_zone(Position(latitude, longitude)) == zone


def test_grid_is_true_less_convergence() -> None:
    assert grid_from_true(1.0, Convergence(2.5, "UTM 32")) == 358.5
    assert grid_from_true(0.0, Convergence(1e-20, "UTM 32")) == 0.0


@given(st.floats(-80, 83.99), st.floats(-180, 180))
def test_it_is_near_the_simple_rule_everywhere(latitude: float, longitude: float) -> None:
    """Longitude from the central meridian times the sine of latitude (trade-facts.md e)."""
    place = Position(latitude, longitude)
    central = 6 * utm_zone(place) - 183
    simple = math.remainder(longitude - central, 360.0) * math.sin(math.radians(latitude))
    assert convergence(place).deg == pytest.approx(simple, abs=0.02)
