"""The projection around the poles against pygeodesy's."""

from __future__ import annotations

import math
import random

import pytest
from pygeodesy.ups import Ups, toUps8

from core.places.polar_stereographic import Polar, back, forward

FALSE_M = 2_000_000.0
WITHIN_M = 2e-8
POLES = pytest.mark.parametrize("south", [False, True])


def points(south: bool) -> list[tuple[float, float]]:
    """Those of UPS, somewhat beyond, and close to the pole."""
    draw = random.Random(20261126)
    latitudes = [draw.uniform(75, 90) for _ in range(300)] + [90 - 10.0**-n for n in range(10)] + [84.0, 80.0, 83.5]
    return [(-one if south else one, draw.uniform(-180, 180)) for one in latitudes]


@POLES
def test_forward_is_the_reference_library_s(south: bool) -> None:
    for latitude, longitude in points(south):
        theirs = toUps8(latitude, longitude, pole="S" if south else "N", strict=False)
        ours = forward(latitude, longitude, south=south)
        assert ours.east_m + FALSE_M == pytest.approx(float(theirs.easting), abs=WITHIN_M)
        assert ours.north_m + FALSE_M == pytest.approx(float(theirs.northing), abs=WITHIN_M)


@POLES
def test_back_is_the_reference_library_s(south: bool) -> None:
    draw = random.Random(7)
    for _ in range(300):
        point = Polar(draw.uniform(-9e5, 9e5), draw.uniform(-9e5, 9e5))
        falsed = (point.east_m + FALSE_M, point.north_m + FALSE_M)
        theirs = Ups(0, "S" if south else "N", *falsed, falsed=True).toLatLon()
        latitude, longitude = back(point, south=south)
        assert latitude == pytest.approx(float(theirs.lat), abs=1e-11)
        assert longitude == pytest.approx(float(theirs.lon), abs=1e-9)


@POLES
def test_there_and_back(south: bool) -> None:
    for latitude, longitude in points(south):
        there = back(forward(latitude, longitude, south=south), south=south)
        assert there == pytest.approx((latitude, longitude), abs=1e-7 if abs(latitude) > 89.99 else 1e-11)


@POLES
def test_the_pole_is_the_origin(south: bool) -> None:
    pole = -90.0 if south else 90.0
    assert forward(pole, 123.0, south=south) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert back(Polar(0.0, 0.0), south=south) == (pole, 0.0)


@POLES
def test_a_point_beyond_all_grids_ends(south: bool) -> None:
    for metres in (1e8, 1e12, 1e200, 1e300):
        latitude, longitude = back(Polar(metres, -metres), south=south)
        assert math.isnan(latitude) or -90 <= latitude <= 90
        assert -180 <= longitude <= 180
    other = forward(80.0 if south else -80.0, 0.0, south=south)
    assert math.hypot(*other) > 1e7
