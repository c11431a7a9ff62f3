"""Coarsened positions hold the truth and nothing finer; near home a precise one is warned of."""

from __future__ import annotations

import math
import random

import pytest
from geographiclib.geodesic import Geodesic

from core.blur import (
    EXACT,
    Blur,
    BlurKind,
    Home,
    ambiguity_box,
    blurred_box,
    half_width_m,
    leaving,
    parse_blur,
)
from core.errors import UsageError
from core.fix import Position

HOME = Home(Position(10.5, -20.25), 500.0)
LOCATOR = Blur(BlurKind.LOCATOR)


def spots() -> list[Position]:
    chance = random.Random(13)
    found = [Position(chance.uniform(-90, 90), chance.uniform(-180, 180)) for _ in range(300)]
    edges = [Position(north, east) for north in (-90.0, -0.001, 0.0, 90.0) for east in (-180.0, -0.001, 0.0, 180.0)]
    return found + edges


@pytest.mark.parametrize(
    ("text", "blur"),
    [
        ("none", EXACT),
        ("100m", Blur(BlurKind.DIGITS, 100.0)),
        (" 2 km ", Blur(BlurKind.DIGITS, 2000.0)),
        ("0.5km", Blur(BlurKind.DIGITS, 500.0)),
        ("ambiguity:3", Blur(BlurKind.AMBIGUITY, 3.0)),
        ("LOCATOR", LOCATOR),
    ],
)
def test_a_blur_is_read(text: str, blur: Blur) -> None:
    assert parse_blur(text) == blur


@pytest.mark.parametrize("text", ["", "0m", "101km", "-5m", "ambiguity:5", "5", "\x1b[2J", "1e3m", "٣m"])
def test_what_is_no_blur_is_said_with_what_would_be(text: str) -> None:
    with pytest.raises(UsageError, match="ambiguity:0") as caught:
        parse_blur(text)
    assert "\x1b" not in str(caught.value)


@pytest.mark.parametrize(("level", "minutes"), [(1, 0.1), (2, 1.0), (3, 10.0), (4, 60.0)])
def test_an_ambiguity_leaves_the_box_of_the_digits_that_are_said(level: int, minutes: float) -> None:
    """APRS Protocol Reference 1.0.1, chapter 6: blanks from the right, so the place is somewhere in what remains."""
    for spot in spots():
        found = ambiguity_box(spot, level)
        assert found.half_latitude_deg * 120 == pytest.approx(minutes)
        for value, middle in zip(spot, found.centre, strict=True):
            size, lower = abs(value), abs(middle) - found.half_latitude_deg
            assert lower - 1e-9 <= size <= lower + minutes / 60 + 1e-9
            assert (lower * 60 / minutes) == pytest.approx(round(lower * 60 / minutes), abs=1e-6)
            assert math.copysign(1, middle) == math.copysign(1, value)


def test_the_published_example_of_ambiguity() -> None:
    """4903.  N, 07201.  W: somewhere from 49 03' to 49 04' and 72 01' to 72 02' (the same chapter)."""
    found = ambiguity_box(Position(49 + 3.5 / 60, -(72 + 1.75 / 60)), 2)
    assert found.centre == pytest.approx((49 + 3.5 / 60, -(72 + 1.5 / 60)))


def test_no_ambiguity_is_the_nearest_hundredth_of_a_minute() -> None:
    found = ambiguity_box(Position(49 + 3.507 / 60, -72.0), 0)
    assert found.centre.latitude_deg * 60 == pytest.approx(49 * 60 + 3.51)


def test_a_locator_of_four_characters_is_the_box_of_a_degree_by_two() -> None:
    for spot in spots():
        found = blurred_box(spot, LOCATOR)
        assert found is not None
        assert (found.half_latitude_deg, found.half_longitude_deg) == (0.5, 1.0)
        assert abs(found.centre.latitude_deg - spot.latitude_deg) <= 0.5
        assert min(abs(found.centre.longitude_deg - spot.longitude_deg), 360) % 358 <= 2.0


def test_the_width_is_that_of_the_narrower_side() -> None:
    spot = Position(60.0, 10.5)
    found = ambiguity_box(spot, 2)
    across = Geodesic.WGS84.Inverse(
        found.centre.latitude_deg,
        found.centre.longitude_deg - found.half_longitude_deg,
        found.centre.latitude_deg,
        found.centre.longitude_deg + found.half_longitude_deg,
    )["s12"]
    assert half_width_m(spot, Blur(BlurKind.AMBIGUITY, 2.0)) == pytest.approx(across / 2, rel=0.01)
    assert half_width_m(spot, EXACT) == 0.0
    assert half_width_m(spot, Blur(BlurKind.DIGITS, 100.0)) == 50.0


def away(metres: float) -> Position:
    line = Geodesic.WGS84.Direct(*HOME.position, 63.0, metres)
    return Position(line["lat2"], line["lon2"])


def test_a_precise_position_near_home_is_warned_of_and_one_beyond_the_circle_is_not() -> None:
    assert "Home" in (leaving(away(499.0), EXACT, HOME) or "")
    assert leaving(away(501.0), EXACT, HOME) is None
    assert leaving(away(10.0), EXACT, None) is None


def test_the_error_of_the_position_counts_towards_home() -> None:
    assert leaving(away(520.0), EXACT, HOME, 30.0)
    assert leaving(away(540.0), EXACT, HOME, 30.0) is None


@pytest.mark.parametrize(
    ("blur", "is_warned_of"),
    [
        (EXACT, True),
        (Blur(BlurKind.DIGITS, 100.0), True),
        (Blur(BlurKind.DIGITS, 999.0), True),
        (Blur(BlurKind.DIGITS, 1000.0), False),
        (Blur(BlurKind.AMBIGUITY, 0.0), True),
        (Blur(BlurKind.AMBIGUITY, 1.0), True),
        (Blur(BlurKind.AMBIGUITY, 2.0), False),
        (LOCATOR, False),
    ],
)
def test_a_blur_as_wide_as_the_circle_needs_no_warning(blur: Blur, is_warned_of: bool) -> None:
    """A minute is 1,853 m of latitude and 1,822 m of longitude here: half of it is more than 500."""
    assert bool(leaving(HOME.position, blur, HOME)) is is_warned_of


def test_near_a_pole_a_locator_is_narrow() -> None:
    pole = Home(Position(89.99, 20.0), 500.0)
    assert leaving(pole.position, LOCATOR, pole) is None
    assert half_width_m(pole.position, LOCATOR) == pytest.approx(math.cos(math.radians(89.5)) * 111_195.0)
