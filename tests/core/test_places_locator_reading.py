"""Locators read back: the middle and the size of the box they name."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.places.locator import box, locator
from tests.tables import rows

TABLE = rows("maidenhead.csv")
LENGTHS = (4, 6, 8, 10)


@pytest.mark.parametrize("row", TABLE, ids=[f"{row['what']} {row['lat']} {row['lon']}" for row in TABLE])
def test_published_locators_hold_their_points(row: dict[str, str]) -> None:
    for length in LENGTHS:
        found = box(row[f"loc{length}"])
        east = (float(row["lon"]) - found.centre.longitude_deg + 180) % 360 - 180
        assert abs(east) <= found.half_longitude_deg + 1e-12
        assert abs(float(row["lat"]) - found.centre.latitude_deg) <= found.half_latitude_deg + 1e-12


@given(st.floats(-90, 90), st.floats(-180, 180), st.sampled_from(LENGTHS))
def test_the_middle_has_the_same_locator_whatever_the_case(latitude: float, longitude: float, length: int) -> None:
    text = locator(Position(latitude, longitude), length)
    assert locator(box(text).centre, length) == text
    assert box(text.upper()) == box(text.lower()) == box(text)


def test_the_size_of_the_box_follows_the_pairs() -> None:
    assert [box("JJ00aa00aa"[:length]).half_latitude_deg for length in LENGTHS] == pytest.approx(
        [0.5, 1 / 48, 1 / 480, 1 / 11520]
    )
    assert box("JJ00").centre == (0.5, 1.0)


@pytest.mark.parametrize(
    "text", ["", "JN", "JN5", "SN58", "JN58ty", "JN58t", "JN58td2", "JN58td25xea", "ＪＮ58", "JN٥٨", "JN58\n"]
)
def test_what_is_no_locator_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="4, 6, 8 or 10 characters"):
        box(text)
