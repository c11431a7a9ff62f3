"""The mean against a published mark. All marks are invented, on open ocean."""

from __future__ import annotations

import math
import random

import pytest

from core.benchmark import (
    CAUTIONS,
    HeightKind,
    Mark,
    MeanPlace,
    compare,
    mark_name,
    read_height,
    split_error,
)
from core.errors import InputError
from core.fix import Position

HERE = Position(10.5, -20.25)
A, E2 = 6_378_137.0, 0.00669437999014
"""WGS 84 (NGA.STND.0036): semi-major axis and first eccentricity squared."""


def east_north(mark: Position, mean: Position) -> tuple[float, float]:
    """By earth-centred coordinates turned into the mark's horizon (textbook), not by the geodesic."""

    def centred(place: Position) -> tuple[float, float, float]:
        latitude, longitude = map(math.radians, place)
        n = A / math.sqrt(1 - E2 * math.sin(latitude) ** 2)
        across = n * math.cos(latitude)
        return across * math.cos(longitude), across * math.sin(longitude), n * (1 - E2) * math.sin(latitude)

    x, y, z = (b - a for a, b in zip(centred(mark), centred(mean), strict=True))
    latitude, longitude = map(math.radians, mark)
    east = -math.sin(longitude) * x + math.cos(longitude) * y
    ahead = math.cos(longitude) * x + math.sin(longitude) * y
    return east, -math.sin(latitude) * ahead + math.cos(latitude) * z


def test_east_and_north_agree_with_the_mark_s_own_horizon() -> None:
    dice = random.Random(8)
    for _ in range(300):
        mark = Position(dice.uniform(-89, 89), dice.uniform(-180, 180))
        near = 1e-4 * dice.uniform(0.001, 1)
        mean = Position(mark.latitude_deg + near * dice.uniform(-1, 1), mark.longitude_deg + near * dice.uniform(-1, 1))
        found = compare(Mark("M", mark), MeanPlace(mean))
        east, north = east_north(mark, mean)
        assert (found.east_m, found.north_m) == pytest.approx((east, north), abs=1e-5)
        assert found.distance_m == pytest.approx(math.hypot(east, north), abs=1e-5)
        assert found.bearing_deg == pytest.approx(math.degrees(math.atan2(east, north)) % 360, abs=0.1)


def test_the_antimeridian_is_no_difference() -> None:
    found = compare(Mark("M", Position(-17.0, 179.99999)), MeanPlace(Position(-17.0, -179.99999)))
    assert 2.0 < found.east_m < 2.3  # 2e-5 degrees of 106.5 km each
    assert abs(found.north_m) < 1e-6


def test_the_mean_on_the_mark_has_no_direction() -> None:
    found = compare(Mark("M", HERE), MeanPlace(HERE, 0.5))
    assert (found.east_m, found.north_m, found.distance_m, found.bearing_deg) == (0.0, 0.0, 0.0, None)
    assert found.is_beyond_chance is False


HEIGHTS = [
    (HeightKind.ELLIPSOID, 3.0),
    (HeightKind.SEA_LEVEL, -11.0),
]


@pytest.mark.parametrize(("kind", "up_m"), HEIGHTS)
def test_like_heights_are_compared(kind: HeightKind, up_m: float) -> None:
    mean = MeanPlace(HERE, altitude_m=9.0, height_m=23.0)
    assert compare(Mark("M", HERE, height_m=20.0, height_kind=kind), mean).up_m == pytest.approx(up_m)


@pytest.mark.parametrize("kind", HeightKind)
def test_a_height_without_its_like_is_not_compared(kind: HeightKind) -> None:
    only = {"altitude_m": 9.0} if kind is HeightKind.ELLIPSOID else {"height_m": 23.0}
    found = compare(Mark("M", HERE, height_m=20.0, height_kind=kind), MeanPlace(HERE, **only))
    assert found.up_m is None
    assert f"no height above {'the ' * (kind is HeightKind.ELLIPSOID)}{kind.value}" in found.no_height


def test_a_mark_without_height_says_so() -> None:
    assert "without a height" in compare(Mark("M", HERE), MeanPlace(HERE, altitude_m=9.0)).no_height


def test_chance_is_both_uncertainties_together() -> None:
    """A right triangle: 3 by the mean, 4 by the mark, of which 2.4 and 3.2 by figures and by what is published."""
    mark = Mark("M", HERE, coarse_m=2.4, error_m=3.2)
    near, far = (Position(HERE.latitude_deg + metres / 110_600, HERE.longitude_deg) for metres in (4.9, 5.1))
    assert compare(mark, MeanPlace(near, 3.0)).chance_m == pytest.approx(5.0)
    assert compare(mark, MeanPlace(near, 3.0)).is_beyond_chance is False
    assert compare(mark, MeanPlace(far, 3.0)).is_beyond_chance is True
    assert compare(mark, MeanPlace(far)).is_beyond_chance is None


# What the user types


@pytest.mark.parametrize(
    ("text", "place", "error_m"),
    [
        ("10.5 N 20.25 W +- 0.02 m", "10.5 N 20.25 W", 0.02),
        ("10.5 N 20.25 W ±3cm", "10.5 N 20.25 W", 0.03),
        ("10.5, -20.25; +/-1,5", "10.5, -20.25", 1.5),
        ("10.5 N 20.25 W +-15 mm", "10.5 N 20.25 W", 0.015),
        ("10.5 N 20.25 W", "10.5 N 20.25 W", None),
        ("+10.5 -20.25", "+10.5 -20.25", None),
    ],
)
def test_the_accuracy_behind_a_place_is_told_apart(text: str, place: str, error_m: float | None) -> None:
    found, found_m = split_error(text)
    assert found == place
    assert found_m == (None if error_m is None else pytest.approx(error_m))


@pytest.mark.parametrize("text", ["10.5 N 20.25 W +- 63 mi", "10.5 N 20.25 W ± 100,1 km"])
def test_what_is_known_to_a_hundred_kilometres_is_no_mark(text: str) -> None:
    with pytest.raises(InputError, match=r"like \+- 0\.02 m"):
        split_error(text)


@pytest.mark.parametrize(
    ("text", "height"),
    [
        ("123.45 ellipsoid", (123.45, HeightKind.ELLIPSOID)),
        ("123,45 m Ellipsoidal", (123.45, HeightKind.ELLIPSOID)),
        ("-12.5 sea", (-12.5, HeightKind.SEA_LEVEL)),
        ("7m sea  level", (7.0, HeightKind.SEA_LEVEL)),
        (" 98.7 msl ", (98.7, HeightKind.SEA_LEVEL)),
    ],
)
def test_a_height_is_read_with_its_kind(text: str, height: tuple[float, HeightKind]) -> None:
    assert read_height(text) == height


@pytest.mark.parametrize(
    "text", ["", "123.45", "sea", "12 feet", "nan sea", "1e3 sea", "9999 sea", "-800 e", "1 sea x"]
)
def test_what_is_no_height_says_how_to_write_one(text: str) -> None:
    with pytest.raises(InputError, match=r"123\.45 ellipsoid"):
        read_height(text)


def test_a_name_fits_a_line() -> None:
    assert mark_name("  Pillar\n 7 ") == "Pillar 7"
    assert mark_name(" ") == "the mark"
    assert len(mark_name("x" * 1000)) == 80


def test_every_caution_has_words_and_a_source() -> None:
    joined = " ".join(caution.words for caution in CAUTIONS)
    assert all(caution.source for caution in CAUTIONS)
    for needed in (
        "NAD 83",
        "ETRS89",
        "GDA94",
        "NAD27",
        "OSGB36",
        "Tokyo",
        "like heights",
        "scaled from maps",
        "antenna",
    ):
        assert needed in joined
