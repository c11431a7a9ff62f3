"""The list of waypoints: what matches, in which order. Places and names are invented."""

from __future__ import annotations

import random
from datetime import UTC, datetime

import pytest

from core.fix import Position
from core.place_list import Sort, ecef_m, listed, nearest_first
from core.places.geodesic import way
from core.waypoints import Waypoint

HERE = Position(10.5, -20.25)
CAR = Waypoint("Car", Position(10.51, -20.25), time=datetime(2031, 5, 4, 9, tzinfo=UTC), kind="car")
FORD = Waypoint("ford of Quennet", Position(10.5, -20.24), time=datetime(2031, 5, 4, 12, tzinfo=UTC), note="early")
TOP = Waypoint("Anvil top", Position(10.6, -20.25), kind="top")
ALL = (TOP, CAR, FORD)


@pytest.mark.parametrize(
    ("sort", "expected"),
    [(Sort.NAME, [TOP, CAR, FORD]), (Sort.TIME, [FORD, CAR, TOP]), (Sort.DISTANCE, [FORD, CAR, TOP])],
)
def test_each_order(sort: Sort, expected: list[Waypoint]) -> None:
    assert listed(ALL, "", sort, HERE) == expected


def test_by_distance_without_a_position_is_by_name() -> None:
    assert listed(ALL, "", Sort.DISTANCE, None) == [TOP, CAR, FORD]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("QUEN", [FORD]),
        ("early ford", [FORD]),
        ("top", [TOP]),
        ("car", [CAR]),
        ("ford car", []),
        ("  ", [TOP, CAR, FORD]),
    ],
)
def test_every_word_must_be_in_name_note_or_kind(words: str, expected: list[Waypoint]) -> None:
    assert listed(ALL, words, Sort.NAME, HERE) == expected


@pytest.mark.parametrize("here", [HERE, Position(89.99, 10.0), Position(-89.5, 0.0), Position(0.0, 179.999)])
def test_nearest_first_is_the_order_of_the_geodesics(here: Position) -> None:
    rng = random.Random(5)
    places = [Position(rng.uniform(-90, 90), rng.uniform(-180, 180)) for _ in range(150)]
    places += [
        Position(max(-90, min(90, here[0] + rng.gauss(0, 0.01))), here[1] + rng.gauss(0, 0.0005)) for _ in range(50)
    ]
    distances = [way(here, place).distance_m for place in nearest_first(places, here, lambda place: place)]
    assert distances == sorted(distances)


def test_earth_centred_coordinates_of_known_points() -> None:
    # The semi-axes of WGS 84 (NGA.STND.0036): 6378137.0 m and 6356752.3142 m.
    assert ecef_m(Position(0.0, 90.0)) == pytest.approx((0.0, 6_378_137.0, 0.0), abs=1e-6)
    assert ecef_m(Position(-90.0, 0.0)) == pytest.approx((0.0, 0.0, -6_356_752.3142), abs=1e-4)
