"""Lengths, speeds and heights in the units of the user."""

from __future__ import annotations

import pytest

from core.units import METRIC, SYSTEMS, UNITS, Units

STATUTE, NAUTICAL = SYSTEMS["statute"], SYSTEMS["nautical"]


@pytest.mark.parametrize(
    ("units", "metres", "words"),
    [
        (METRIC, 0.0, "0 m"),
        (METRIC, 999.4, "999 m"),
        (METRIC, 999.5, "1.00 km"),
        (METRIC, 1234.0, "1.23 km"),
        (METRIC, 99_994.0, "99.99 km"),
        (METRIC, 1_234_567.0, "1,235 km"),
        (STATUTE, 30.48, "100 ft"),
        (STATUTE, 304.6, "999 ft"),
        (STATUTE, 1609.344, "1.00 mi"),
        (STATUTE, 1_609_344.0, "1,000 mi"),
        (NAUTICAL, 500.0, "500 m"),
        (NAUTICAL, 1852.0, "1.00 NM"),
        (Units("mi", "yd"), 91.44, "100 yd"),
    ],
)
def test_a_way(units: Units, metres: float, words: str) -> None:
    assert units.way(metres) == words


@pytest.mark.parametrize(
    ("units", "metres", "words"),
    [
        (METRIC, 0.42, "42 cm"),
        (METRIC, 0.995, "1.0 m"),
        (METRIC, 9.94, "9.9 m"),
        (METRIC, 9.95, "10 m"),
        (STATUTE, 0.1, "4 in"),
        (STATUTE, 1.5, "4.9 ft"),
        (STATUTE, 5.0, "16 ft"),
        (Units("mi", "yd"), 0.5, "20 in"),
        (Units("mi", "yd"), 1.8288, "2.0 yd"),
    ],
)
def test_an_error_has_two_figures(units: Units, metres: float, words: str) -> None:
    assert units.error(metres) == words


def test_speeds_and_heights() -> None:
    assert METRIC.rate(1.4) == "1.4 m/s  5.0 km/h"
    assert STATUTE.rate(1.4) == "3.1 mph"
    assert NAUTICAL.rate(1.4) == "2.7 kn"
    assert METRIC.high(123.46, 1) == "123.5 m"
    assert STATUTE.high(123.45, 1) == "405 ft"
    assert METRIC.high(1234.0) == "1234 m"
    assert NAUTICAL.high(-3.0) == "-3 m"


def test_thousands_are_set_apart_wherever_a_long_way_is_written() -> None:
    assert METRIC.way(12_345_678.0) == "12,346 km"
    assert METRIC.long(12_345_678.0) == "12,345.7 km"
    assert METRIC.coarse(12_345_678.0) == "12,345.7 km"
    assert STATUTE.long(1_609_344_000.0, 0) == "1,000,000 mi"


@pytest.mark.parametrize(("units", "metres", "words"), [
    (METRIC, 0.5, "50 cm"), (METRIC, 50, "50 m"), (METRIC, 2000, "2 km"),
    (STATUTE, 0.0254 * 5, "5 in"), (STATUTE, 0.3048 * 200, "200 ft"), (STATUTE, 1609.344 * 0.2, "0.2 mi"),
    (STATUTE, 1609.344 * 2000, "2,000 mi"), (NAUTICAL, 1852 * 5, "5 NM")])  # fmt: skip
def test_the_length_of_a_ruler_has_no_more_figures_than_it_needs(units: Units, metres: float, words: str) -> None:
    assert units.ruler(metres) == words


def test_units_are_those_of_their_definitions() -> None:
    # Exact: international yard 1959, nautical mile 1929 (SI brochure; from memory).
    assert UNITS["mi"].size == 1760 * UNITS["yd"].size == 5280 * UNITS["ft"].size
    assert UNITS["kn"].size * 3600 == pytest.approx(1852)
    assert UNITS["mph"].size * 3600 == pytest.approx(1609.344)
