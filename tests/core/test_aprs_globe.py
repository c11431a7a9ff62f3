"""Position texts from everywhere, read by aprslib: the same place within the form's resolution, or within its box."""

from __future__ import annotations

from typing import Any

import pytest
from aprslib import parse
from hypothesis import example, given
from hypothesis import strategies as st

from core.aprs.ambiguity import box
from core.aprs.compressed import Origin
from core.aprs.text import Report, compressed_line, plain_line
from core.blur import ambiguity_box
from core.fix import Position

latitudes = st.one_of(
    st.floats(-90, 90),
    st.integers(-540_000, 540_000).map(lambda steps: steps / 6_000),
    st.sampled_from((90.0, -90.0, 0.0, -0.0, 89.999_999_9, -89.999_95, 1e-9, -1e-9)),
)
longitudes = st.one_of(
    st.floats(-180, 180),
    st.integers(-1_080_000, 1_080_000).map(lambda steps: steps / 6_000),
    st.sampled_from((180.0, -180.0, 179.999_999_9, -179.999_95, 0.0, -1e-9)),
)
places = st.builds(Position, latitudes, longitudes)
A_STEP = 1 / 6_000
A_MILLIMETRE = 1e-8
SIDES_MIN = (0.01, 0.1, 1.0, 10.0, 60.0)


def read(text: str) -> dict[str, Any]:
    found: dict[str, Any] = parse(f"QQ1QQX>APRS:{text}")
    return found


@given(places)
@example(Position(90.0, 180.0))
@example(Position(-90.0, -180.0))
@example(Position(0.0, -180.0))
def test_a_plain_text_is_read_within_a_step(place: Position) -> None:
    found = read(plain_line(Report(place)).text)
    assert found["format"] == "uncompressed"
    # Half a step by rounding; a whole one only at a pole and at the antimeridian, whose own figures readers refuse.
    for axis, limit in ((0, 90), (1, 180)):
        apart = abs((found["latitude"], found["longitude"])[axis] - place[axis])
        at_the_end = limit - abs(place[axis]) < A_STEP / 2
        assert apart <= (A_STEP if at_the_end else A_STEP / 2) + 1e-12


@given(places)
@example(Position(90.0, 180.0))
@example(Position(-90.0, -180.0))
def test_a_compressed_text_is_read_within_a_step_of_its_own(place: Position) -> None:
    found = read(compressed_line(Report(place), Origin(is_current=True)).text)
    assert found["format"] == "compressed"
    assert 0 <= found["latitude"] - place.latitude_deg <= 1 / 380_926 + 1e-12
    assert 0 <= place.longitude_deg - found["longitude"] <= 1 / 190_463 + 1e-12


@given(places, st.integers(1, 4))
@example(Position(90.0, 180.0), 1)
@example(Position(-90.0, -180.0), 4)
@example(Position(89.999_999, 10.0), 3)
@example(Position(-0.0, -0.0), 1)
def test_a_blurred_text_holds_the_place_in_the_box_that_a_reader_sees(place: Position, level: int) -> None:
    found = read(plain_line(Report(place, ambiguity=level)).text)
    assert found["posambiguity"] == level
    ours = box(place, level)
    half = SIDES_MIN[level] / 120
    assert ours.half_latitude_deg == ours.half_longitude_deg == pytest.approx(half)
    for seen, said, true in zip((found["latitude"], found["longitude"]), ours.centre, place, strict=True):
        # aprslib puts a 5 for the first blank and nothing for the others: the middle, but for two blanks, where the
        # decimals of its middle are lost with the point (S62: readers differ). The box is the digits' own.
        assert abs(seen - said) <= half + 1e-9
        assert abs(true - said) <= half + A_MILLIMETRE
    digits = plain_line(Report(place, ambiguity=level)).text
    assert digits[1:9].count(" ") == digits[10:19].count(" ") == level


@given(places, st.integers(1, 4))
def test_the_box_that_a_warning_reckons_with_is_the_one_that_is_sent(place: Position, level: int) -> None:
    """On an edge too, where cutting and rounding part."""
    assert ambiguity_box(place, level) == box(place, level)
