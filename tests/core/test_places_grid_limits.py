"""Grid coordinates with figures or letters that no grid has give no reading, and those beside them do."""

from __future__ import annotations

import pytest

from core.places.grid_text import parse_grid

WITHIN = "31 n 500000 1000000"
"""On the central meridian of zone 31, 3 degrees east, in the open sea."""


def explained(text: str) -> list[str]:
    return [reading.explanation for reading in parse_grid(text)]


def test_a_letter_that_is_band_and_hemisphere_is_read_as_both_where_both_can_be() -> None:
    """Band N reaches from 0 to 8 degrees: a northing of 1,000 km is 9 degrees, and only the hemisphere is left."""
    assert explained("31 n 500000 500000") == ["UTM zone 31, band N", "UTM zone 31, northern hemisphere"]
    assert explained(WITHIN) == ["UTM zone 31, northern hemisphere"]


@pytest.mark.parametrize(
    "text",
    [
        "61 n 500000 500000",
        "0 n 500000 500000",
        "31 n 99999 500000",
        "31 n 900001 500000",
        "31 n 500000 10000001",
        "31 i 500000 500000",
        "31 o 500000 500000",
        "31 p 500000 500000",
    ],
)
def test_no_zone_no_figure_and_no_band_of_utm(text: str) -> None:
    assert parse_grid(text) == []


def test_a_northing_beyond_the_reach_of_utm_is_no_reading() -> None:
    """Almost at the pole: UTM ends at 84 degrees (DMA TM 8358.2), with half a degree of slack here."""
    assert explained("31 n 500000 9300000") == ["UTM zone 31, northern hemisphere"]
    assert parse_grid("31 n 500000 9900000") == []


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("z 2100000 2000000", ["UPS, north pole"]),
        ("y 1900000 2000000", ["UPS, north pole"]),
        ("b 2100000 2000000", ["UPS, south pole"]),
        ("z 2000000 2000000", ["UPS, north pole"]),
        ("y 2000000 2000000", ["UPS, north pole"]),
        ("z 1900000 2000000", []),
        ("y 2100000 2000000", []),
        ("z 2700001 2000000", []),
        ("b 3200000 2000000", ["UPS, south pole"]),
        ("b 3200001 2000000", []),
        ("z 2100000 1299999", []),
    ],
)
def test_the_letters_of_ups_are_halves_of_its_square(text: str, said: list[str]) -> None:
    """Y and A west, Z and B east of the pole; on the line between them either will do (DMA TM 8358.2)."""
    assert explained(text) == said
