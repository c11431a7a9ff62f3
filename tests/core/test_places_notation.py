"""Written positions: rounding that carries, both signs, the ends of the scale."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.places.notation import Notation, Written, write

DECIMAL, MINUTES, SECONDS = Notation.DECIMAL, Notation.DEGREES_MINUTES, Notation.DEGREES_MINUTES_SECONDS
STEP = {DECIMAL: Fraction(1, 100_000), MINUTES: Fraction(1, 60_000), SECONDS: Fraction(1, 36_000)}
"""The last digit of each form, in degrees."""


@pytest.mark.parametrize(
    ("notation", "position", "latitude", "longitude"),
    [
        (DECIMAL, (10.5, -20.25), "10.50000° N", "020.25000° W"),
        (MINUTES, (10.5, -20.25), "10° 30.000' N", "020° 15.000' W"),
        (SECONDS, (10.5, -20.25), "10° 30' 00.0\" N", "020° 15' 00.0\" W"),
        # Carries: half of the last digit below a whole degree.
        (DECIMAL, (9.999995, 99.999996), "10.00000° N", "100.00000° E"),
        (MINUTES, (9 + 59.99951 / 60, -(9 + 59.99951 / 60)), "10° 00.000' N", "010° 00.000' W"),
        (MINUTES, (9 + 59.99949 / 60, 9 + 59.9994 / 60), "09° 59.999' N", "009° 59.999' E"),
        (SECONDS, (-(9 + 59 / 60 + 59.951 / 3600), 0.0), "10° 00' 00.0\" S", "000° 00' 00.0\" E"),
        (SECONDS, (9 + 59 / 60 + 59.949 / 3600, 0.0), "09° 59' 59.9\" N", "000° 00' 00.0\" E"),
        (SECONDS, (5 + 29.99999 / 60, 0.0), "05° 30' 00.0\" N", "000° 00' 00.0\" E"),
        # The ends of the scale, and the zero that has a sign.
        (DECIMAL, (90.0, 180.0), "90.00000° N", "180.00000° E"),
        (MINUTES, (-90.0, -180.0), "90° 00.000' S", "180° 00.000' W"),
        (SECONDS, (89.9999999, 179.9999999), "90° 00' 00.0\" N", "180° 00' 00.0\" E"),
        (DECIMAL, (-0.0, -0.0), "00.00000° N", "000.00000° E"),
        # Halves go away from zero, on both sides; 1/64 degree is one in each form, exactly.
        (DECIMAL, (1 / 64, -1 / 64), "00.01563° N", "000.01563° W"),
        (MINUTES, (1 / 64, -1 / 64), "00° 00.938' N", "000° 00.938' W"),
        (SECONDS, (-1 / 64, 1 / 64), "00° 00' 56.3\" S", "000° 00' 56.3\" E"),
        (MINUTES, (3 / 64, -3 / 64), "00° 02.813' N", "000° 02.813' W"),
    ],
)
def test_a_position_is_written(
    notation: Notation, position: tuple[float, float], latitude: str, longitude: str
) -> None:
    assert write(Position(*position), notation) == Written(latitude, longitude)


_SHAPE = {
    DECIMAL: re.compile(r"(\d{2,3})\.(\d{5})° [NSEW]"),
    MINUTES: re.compile(r"(\d{2,3})° ([0-5]\d\.\d{3})' [NSEW]"),
    SECONDS: re.compile(r"(\d{2,3})° ([0-5]\d)' ([0-5]\d\.\d)\" [NSEW]"),
}


def value(text: str, notation: Notation) -> Fraction:
    """The written text read back, without its sign."""
    found = _SHAPE[notation].fullmatch(text)
    assert found, text
    if notation is DECIMAL:
        return Fraction(f"{found[1]}.{found[2]}")
    return sum((Fraction(part) / 60**n for n, part in enumerate(found.groups())), Fraction(0))


@given(st.floats(-90, 90), st.floats(-180, 180), st.sampled_from(list(Notation)))
def test_what_is_written_is_within_half_a_digit_and_never_shows_sixty(
    latitude: float, longitude: float, notation: Notation
) -> None:
    written = write(Position(latitude, longitude), notation)
    for text, degrees, letters in ((written.latitude, latitude, "NS"), (written.longitude, longitude, "EW")):
        assert abs(value(text, notation) - abs(Fraction(degrees))) <= STEP[notation] / 2
        assert text[-1] == letters[degrees < 0]


@given(st.integers(0, 179), st.integers(1, 59_999), st.sampled_from((-1, 1)))
def test_whole_thousandths_of_a_minute_survive(degrees: int, thousandths: int, sign: int) -> None:
    longitude = sign * (degrees + thousandths / 60_000)
    text = write(Position(0.0, longitude), MINUTES).longitude
    assert value(text, MINUTES) == degrees + Fraction(thousandths, 60_000)
