"""The projection against pygeodesy's, which sums exactly: KTransverseMercator, by the same paper (Karney 2011)."""

from __future__ import annotations

import math
import random

import pytest
from pygeodesy.ktm import KTransverseMercator

from core.places.transverse_mercator import Projected, back, forward

WITHIN_M = 2e-8
"""Floats of ten thousand kilometres are 2 nm apart."""
WITHIN_DEG = 1e-12


def points(number: int) -> list[tuple[float, float]]:
    """Over the zones of UTM, the widened ones among them, and somewhat beyond."""
    draw = random.Random(20261126)
    return [(draw.uniform(-89.9, 89.9), draw.uniform(-12, 12)) for _ in range(number)]


EDGES = [(latitude, east) for latitude in (-90.0, -80, -1e-9, 0, 1e-9, 56, 84, 90) for east in (-6.0, -3, 0, 1e-9, 6)]


def test_forward_is_the_reference_library_s() -> None:
    reference = KTransverseMercator()
    for latitude, east in points(200) + EDGES:
        theirs, ours = reference.forward(latitude, east, 0), forward(latitude, east)
        assert ours.east_m == pytest.approx(float(theirs.easting), abs=WITHIN_M)
        assert ours.north_m == pytest.approx(float(theirs.northing), abs=WITHIN_M)


def test_back_is_the_reference_library_s() -> None:
    reference, draw = KTransverseMercator(), random.Random(7)
    for _ in range(200):
        point = Projected(draw.uniform(-9e5, 9e5), draw.uniform(-9.9e6, 9.9e6))
        theirs, ours = reference.reverse(*point, 0), back(point)
        assert ours == pytest.approx((float(theirs.lat), float(theirs.lon)), abs=WITHIN_DEG)


def test_there_and_back() -> None:
    for latitude, east in points(5000):
        assert back(forward(latitude, east)) == pytest.approx((latitude, east), abs=WITHIN_DEG)


def test_the_central_meridian_is_straight() -> None:
    for latitude in (-90.0, -45.0, 0.0, 45.0, 90.0):
        assert forward(latitude, 0.0).east_m == 0
        assert back(Projected(0.0, forward(latitude, 0.0).north_m)) == pytest.approx((latitude, 0.0), abs=WITHIN_DEG)


@pytest.mark.parametrize(
    "point", [Projected(1e9, 0.0), Projected(0.0, 1e12), Projected(9e7, -9e7), Projected(1e300, 0.0)]
)
def test_a_point_beyond_all_grids_ends(point: Projected) -> None:
    try:
        latitude, _ = back(point)
    except OverflowError:
        return
    assert math.isnan(latitude) or -90 <= latitude <= 90
