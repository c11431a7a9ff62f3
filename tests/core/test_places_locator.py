"""Locators against the published definition, and against their own: the point lies in the box they name."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.places.locator import locator
from tests.tables import rows

TABLE = rows("maidenhead.csv")
SIZES = (Fraction(20), Fraction(2), Fraction(1, 12), Fraction(1, 120), Fraction(1, 2880))
"""Width of the box in degrees after each pair; it is half as high."""
LATITUDES = st.floats(-90, 90)
LONGITUDES = st.floats(-180, 180)


def corner(text: str) -> tuple[Fraction, Fraction]:
    """South-west corner of the box: latitude, longitude."""
    east = north = Fraction(0)
    for n, size in enumerate(SIZES[: len(text) // 2]):
        first = "A0a0a"[n]
        east += (ord(text[2 * n]) - ord(first)) * size
        north += (ord(text[2 * n + 1]) - ord(first)) * size / 2
    return north - 90, east - 180


@pytest.mark.parametrize("row", TABLE, ids=[f"{row['what']} {row['lat']} {row['lon']}" for row in TABLE])
def test_every_length_is_exactly_the_published_one(row: dict[str, str]) -> None:
    point = Position(float(row["lat"]), float(row["lon"]))
    assert [locator(point, n) for n in (4, 6, 8, 10)] == [row["loc4"], row["loc6"], row["loc8"], row["loc10"]]
    assert row["published6"] in {"", locator(point)}


def test_the_table_is_whole() -> None:
    assert len(TABLE) == 26


@given(LATITUDES, LONGITUDES, st.sampled_from((4, 6, 8, 10)))
def test_the_point_lies_in_its_box(latitude: float, longitude: float, characters: int) -> None:
    text = locator(Position(latitude, longitude), characters)
    assert len(text) == characters
    south, west = corner(text)
    width = SIZES[characters // 2 - 1]
    east_of_west = (Fraction(longitude) - west) % 360
    assert 0 <= east_of_west < width
    assert south <= Fraction(latitude) < south + width / 2 or latitude == 90.0


@given(LATITUDES, LONGITUDES)
def test_longer_ones_begin_with_the_shorter(latitude: float, longitude: float) -> None:
    ten = locator(Position(latitude, longitude), 10)
    assert [locator(Position(latitude, longitude), n) for n in (4, 6, 8)] == [ten[:4], ten[:6], ten[:8]]


@pytest.mark.parametrize("edge", [-160.0, 0.0, 2.0, 179.0 + 11 / 12])
def test_a_hair_below_an_edge_stays_below_it(edge: float) -> None:
    below = locator(Position(10.0, math.nextafter(edge, -math.inf)), 10)
    at = locator(Position(10.0, edge), 10)
    assert corner(below)[1] < corner(at)[1] or edge == 179.0 + 11 / 12
    assert corner(below)[1] < Fraction(edge)


def test_minus_zero_is_zero() -> None:
    assert locator(Position(-0.0, -0.0), 10) == locator(Position(0.0, 0.0), 10) == "JJ00aa00aa"


@pytest.mark.parametrize("characters", [0, 2, 5, 12, -4])
def test_other_lengths_are_refused_and_the_right_ones_named(characters: int) -> None:
    with pytest.raises(ValueError, match="4, 6, 8 or 10"):
        locator(Position(0.0, 0.0), characters)
