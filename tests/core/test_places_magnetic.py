"""Declination against the model's own test values, its zones, its years."""

from __future__ import annotations

import math
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.places.magnetic import (
    FIRST_YEAR,
    LAST_DAY,
    Declination,
    decimal_year,
    declination,
    declination_in,
    magnetic_from_true,
)
from tests.tables import rows

POINTS, REPORT = rows("wmm2025_points.csv"), rows("wmm2025_report_table.csv")
HALF_DIGIT_DEG = 0.005 + 1e-9
"""The tables print declination to 0.01 degrees."""
HERE = Position(47.0, 8.0)


def found_for(row: dict[str, str]) -> Declination:
    place = Position(float(row["lat"]), float(row["lon"]))
    return declination_in(place, float(row["year"]), 1000.0 * float(row["height_km"]))


def ids(row: dict[str, str]) -> str:
    return f"{row['year'][:6]} {row['lat']} {row['lon']} {row['height_km']} km"


def test_the_tables_are_whole() -> None:
    assert (len(POINTS), len(REPORT)) == (100, 12)


@pytest.mark.parametrize("row", POINTS, ids=ids)
def test_the_official_points(row: dict[str, str]) -> None:
    found = found_for(row)
    assert found.deg == pytest.approx(float(row["D_deg"]), abs=HALF_DIGIT_DEG, rel=0)
    assert found.horizontal_nt == pytest.approx(float(row["H_nT"]), abs=1e-3, rel=0)
    # The components are printed to a millionth of a nanotesla: a much sharper angle than the printed one.
    sharper = math.degrees(math.atan2(float(row["Y_nT"]), float(row["X_nT"])))
    assert found.deg == pytest.approx(sharper, abs=1e-5, rel=0)
    assert found.valid


@pytest.mark.parametrize("row", REPORT, ids=ids)
def test_the_table_of_the_report(row: dict[str, str]) -> None:
    found = found_for(row)
    assert found.deg == pytest.approx(float(row["D_deg"]), abs=HALF_DIGIT_DEG, rel=0)
    assert found.horizontal_nt == pytest.approx(float(row["H_nT"]), abs=0.05 + 1e-9, rel=0)


def test_a_day_is_its_part_of_the_year() -> None:
    assert decimal_year(date(2025, 1, 1)) == FIRST_YEAR
    assert decimal_year(date(2026, 12, 31)) == pytest.approx(2026 + 364 / 365, abs=1e-12)
    assert decimal_year(date(2028, 12, 31)) == pytest.approx(2028 + 365 / 366, abs=1e-12)
    assert decimal_year(date(2000, 3, 1)) == pytest.approx(2000 + 60 / 366, abs=1e-12)
    assert decimal_year(date(1900, 3, 1)) == pytest.approx(1900 + 59 / 365, abs=1e-12)
    assert declination(HERE, date(2026, 1, 1), 400.0) == declination_in(HERE, 2026.0, 400.0)


@pytest.mark.parametrize(
    ("day", "valid"),
    [
        (date(2024, 12, 31), False),
        (date(2025, 1, 1), True),
        (LAST_DAY, True),
        (LAST_DAY + timedelta(days=1), False),
        (date(1980, 1, 6), False),
    ],
)
def test_the_model_has_a_first_and_a_last_day(day: date, valid: bool) -> None:
    assert declination(HERE, day).valid is valid


@pytest.mark.parametrize(
    ("height_m", "valid"), [(-1000.0, True), (-1000.1, False), (850_000.0, True), (850_001.0, False), (math.nan, False)]
)
def test_the_model_has_a_lowest_and_a_highest_height(height_m: float, valid: bool) -> None:
    found = declination(HERE, date(2026, 6, 1), height_m)
    assert found.valid is valid
    assert math.isfinite(found.deg)


def test_height_is_taken_in_metres_above_the_ellipsoid() -> None:
    row = next(row for row in REPORT if row["height_km"] == "100.0" and row["lat"] == "80.0")
    low, high = declination_in(Position(80.0, 0.0), 2025.0), declination_in(Position(80.0, 0.0), 2025.0, 100_000.0)
    assert high.deg == pytest.approx(float(row["D_deg"]), abs=HALF_DIGIT_DEG)
    assert low.deg - high.deg > 0.4


@pytest.mark.parametrize(
    ("horizontal_nt", "sigma_deg"), [(20_000, 0.38), (15_000, 0.44), (10_000, 0.60), (6_000, 0.94), (2_000, 2.72)]
)
def test_the_published_uncertainty(horizontal_nt: float, sigma_deg: float) -> None:
    """Figures of trade-facts.md e. A place with this field is looked for on the meridian that passes the pole."""
    low, high = 30.0, 85.5
    for _ in range(50):
        middle = (low + high) / 2
        weak = declination_in(Position(middle, 140.0), 2026.0).horizontal_nt < horizontal_nt
        low, high = (low, middle) if weak else (middle, high)
    found = declination_in(Position(low, 140.0), 2026.0)
    assert found.horizontal_nt == pytest.approx(horizontal_nt, abs=0.01)
    assert found.uncertainty_deg == pytest.approx(sigma_deg, abs=0.0055)


def test_the_zones_where_a_compass_is_weak_or_no_guide() -> None:
    seen = [(found.horizontal_nt, found.zone) for found in map(found_for, POINTS)]
    assert {zone for _, zone in seen} == {"", "caution", "blackout"}
    for horizontal_nt, zone in seen:
        expected = "blackout" if horizontal_nt < 2000 else "caution" if horizontal_nt < 6000 else ""
        assert zone == expected


def test_magnetic_is_true_less_declination() -> None:
    east = Declination(10.0, 0.4, 20_000.0, "", True)
    assert magnetic_from_true(5.0, east) == 355.0
    assert magnetic_from_true(0.0, east._replace(deg=1e-20)) == 0.0


NEAR_POLES = st.floats(89.999, 90).flatmap(lambda latitude: st.sampled_from((latitude, -latitude)))


@given(st.one_of(st.floats(-90, 90), NEAR_POLES), st.floats(-180, 180), st.floats(2025, 2029.99))
def test_anywhere_it_is_a_direction_with_a_bound(latitude: float, longitude: float, year: float) -> None:
    found = declination_in(Position(latitude, longitude), year)
    assert -180.0 <= found.deg <= 180.0
    assert 0.26 < found.uncertainty_deg <= 180.0


def test_two_threads_get_what_one_gets() -> None:
    places = [Position(-80.0 + 1.6 * n, -170.0 + 3.4 * n) for n in range(100)]
    alone = [declination_in(place, 2026.0) for place in places]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(lambda place: declination_in(place, 2026.0), places)) == alone


def test_importing_it_does_not_load_the_model() -> None:
    code = "import core.places.magnetic, core.places.sun, sys; print({'pygeomag', 'astral'} & set(sys.modules))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout == "set()\n"
