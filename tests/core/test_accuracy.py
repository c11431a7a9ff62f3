"""The 95 % error: its factors, where they come from, and whether it covers what it says on errors that are known."""

from __future__ import annotations

import math
import random
import statistics
import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core import accuracy
from core.accuracy import NO_ERROR, RANGING_ERROR_M, ErrorModel, RunningMedian, ground_radius_ratio, median, r95
from core.fix import SATELLITE_FIX_MODES, Fix, FixMode, PseudorangeNoise
from tests.played import HERE
from tests.tables import DATA

MODEL = ErrorModel()
FACTORS = tomllib.loads((DATA / "accuracy.toml").read_text("utf-8"))
PLANE = FACTORS["two_dimensions"]


def fix(mode: FixMode = FixMode.AUTONOMOUS, **fields: Any) -> Fix:
    return Fix(position=HERE, mode=mode)._replace(**fields)


def noise(**fields: float | None) -> PseudorangeNoise:
    return PseudorangeNoise(None, None, None, None, None, None, None)._replace(**fields)


# Factors


def test_the_factors_are_the_published_ones() -> None:
    plane, line = accuracy.R95_OVER_DRMS, accuracy.P95_OVER_SIGMA
    assert plane == pytest.approx(PLANE["ratios"]["r95_over_drms"], abs=1e-6)
    assert plane == pytest.approx(PLANE["r95"] / PLANE["drms"], abs=1e-6)
    assert line == pytest.approx(FACTORS["one_dimension"]["p95"], abs=1e-6)
    assert plane == pytest.approx(FACTORS["published"]["nssda_horizontal_95"], abs=5e-5)
    assert line == pytest.approx(FACTORS["published"]["nssda_vertical_95"], abs=5e-5)


def test_equal_axes_and_a_vanishing_one_are_the_closed_forms() -> None:
    assert r95(1.0, 1.0) == pytest.approx(PLANE["r95"], abs=5e-5)
    assert r95(1.0, 0.0) == pytest.approx(FACTORS["one_dimension"]["p95"], abs=5e-5)
    assert r95(0.0, 0.0) == 0.0


def inside(radius: float, smaller: float) -> float:
    """The share of normal errors, sigma 1 along one axis and `smaller` along the other, within the radius.

    The inner integral is an error function; the outer one, in x = radius sin t, is summed in 2,000 steps.
    """
    step = math.pi / 2000
    total = 0.0
    for number in range(2000):
        t = -math.pi / 2 + (number + 0.5) * step
        x, width = radius * math.sin(t), radius * math.cos(t)
        total += math.exp(-x * x / 2) * math.erf(width / (smaller * math.sqrt(2))) * width
    return total * step / math.sqrt(2 * math.pi)


def test_the_integration_itself_knows_the_published_shares() -> None:
    thin, round_ = FACTORS["published"]["two_drms_probability"]
    assert inside(2 * math.hypot(1, 1), 1.0) == pytest.approx(round_, abs=5e-4)
    assert inside(2 * math.hypot(1, 0.01), 0.01) == pytest.approx(thin, abs=1e-3)


@pytest.mark.parametrize("smaller", [0.02, 0.1, 0.25, 0.33, 0.475, 0.5, 0.62, 0.7, 0.775, 0.875, 0.9, 0.99, 1.0])
def test_the_radius_of_unequal_axes_holds_95_per_cent(smaller: float) -> None:
    """Three digits of the radius: within a two-thousandth, the share is on either side of 95 %."""
    found = r95(3.0, 3.0 * smaller) / 3.0
    assert inside(found * 0.9995, smaller) < 0.95 < inside(found * 1.0005, smaller)


@given(st.floats(0.001, 1000), st.floats(0.001, 1000))
def test_which_axis_is_which_makes_no_difference_and_size_scales(a: float, b: float) -> None:
    assert r95(a, b) == r95(b, a)
    assert r95(7 * a, 7 * b) == pytest.approx(7 * r95(a, b))
    assert 1.9599 * max(a, b) <= r95(a, b) <= 2.4478 * max(a, b)


def test_two_radii_together() -> None:
    assert ground_radius_ratio(3.0, 4.0) == pytest.approx(5.0)


# Which figures are used


def test_the_receivers_own_statistics_go_before_dilution() -> None:
    told = noise(latitude_m=2.0, longitude_m=2.0, altitude_m=3.0)
    found = MODEL.error_95(fix(hdop=9.0, vdop=9.0, noise=told))
    assert found.horizontal_m == pytest.approx(2 * PLANE["r95"], abs=1e-3)
    assert found.vertical_m == pytest.approx(3 * 1.959964)
    assert "GST" in found.basis
    assert "HDOP" not in found.basis


def test_semi_axes_go_before_latitude_and_longitude() -> None:
    told = noise(semi_major_m=4.0, semi_minor_m=1.0, latitude_m=9.0, longitude_m=9.0)
    assert MODEL.error_95(fix(noise=told)).horizontal_m == pytest.approx(r95(4.0, 1.0))
    half = told._replace(semi_minor_m=None)
    assert MODEL.error_95(fix(noise=half)).horizontal_m == pytest.approx(r95(9.0, 9.0))


def test_zeros_for_semi_axes_are_no_figures() -> None:
    told = noise(semi_major_m=0.0, semi_minor_m=0.0, latitude_m=2.0, longitude_m=3.0)
    assert MODEL.error_95(fix(noise=told)).horizontal_m == pytest.approx(r95(2.0, 3.0))


@pytest.mark.parametrize(
    "told",
    [
        noise(),
        noise(range_rms_m=7.5),
        noise(latitude_m=2.0),
        noise(longitude_m=2.0, altitude_m=3.0),
        noise(latitude_m=0.0, longitude_m=0.0, altitude_m=0.0),
    ],
)
def test_statistics_that_say_nothing_leave_it_to_dilution(told: PseudorangeNoise) -> None:
    assert MODEL.error_95(fix(noise=told, hdop=1.0)) == MODEL.error_95(fix(hdop=1.0))
    assert MODEL.error_95(fix(noise=told)) == NO_ERROR


def test_a_height_sigma_that_is_not_told_or_zero_is_no_error_of_zero() -> None:
    for altitude_m in (None, 0.0):
        told = noise(latitude_m=2.0, longitude_m=2.0, altitude_m=altitude_m)
        assert MODEL.error_95(fix(noise=told)).vertical_m is None


@pytest.mark.parametrize("mode", sorted(SATELLITE_FIX_MODES))
def test_dilution_times_the_ranging_error_of_the_mode(mode: FixMode) -> None:
    found = MODEL.error_95(fix(mode, hdop=1.5, vdop=2.5))
    assert found.horizontal_m == pytest.approx(1.730818 * 1.5 * RANGING_ERROR_M[mode])
    assert found.vertical_m == pytest.approx(1.959964 * 2.5 * RANGING_ERROR_M[mode])
    assert found.basis == f"HDOP x {RANGING_ERROR_M[mode]:g} m assumed"


def test_an_open_sky_gives_the_usual_metres() -> None:
    """Trade facts a: 6.9 m at HDOP 1 and 4 m; SBAS 1 to 2 m at the HDOP 0.9 of an open sky; float below a metre."""
    at_one = {mode: MODEL.error_95(fix(mode, hdop=1.0)).horizontal_m or 0.0 for mode in SATELLITE_FIX_MODES}
    assert at_one[FixMode.AUTONOMOUS] == pytest.approx(6.9, abs=0.05)
    assert 1.0 <= 0.9 * at_one[FixMode.DIFFERENTIAL] <= 2.0
    order = [FixMode.AUTONOMOUS, FixMode.PRECISE, FixMode.DIFFERENTIAL, FixMode.RTK_FLOAT, FixMode.RTK_FIXED]
    assert sorted(at_one, key=lambda mode: -at_one[mode]) == order
    assert at_one[FixMode.RTK_FIXED] < 0.05 < at_one[FixMode.RTK_FLOAT] < 1.0


def test_height_without_a_dilution_of_its_own_is_by_the_stated_factor() -> None:
    found = MODEL.error_95(fix(hdop=1.5, dimensions=3))
    assert found.vertical_m == pytest.approx(1.6 * (found.horizontal_m or 0.0))
    assert found.basis == "HDOP x 4 m assumed, height x 1.6"


def test_a_height_that_is_assumed_has_no_error() -> None:
    told = noise(latitude_m=2.0, longitude_m=2.0, altitude_m=3.0)
    for flat in (fix(hdop=1.5, dimensions=2), fix(hdop=1.5, vdop=1.0, dimensions=2), fix(noise=told, dimensions=2)):
        found = MODEL.error_95(flat)
        assert found.horizontal_m is not None
        assert found.vertical_m is None


@pytest.mark.parametrize("mode", sorted(set(FixMode) - SATELLITE_FIX_MODES))
def test_what_satellites_did_not_make_has_no_error(mode: FixMode) -> None:
    told = noise(latitude_m=2.0, longitude_m=2.0, altitude_m=3.0)
    assert MODEL.error_95(fix(mode, hdop=1.0, noise=told)) == NO_ERROR


def test_nothing_known_is_no_error() -> None:
    assert MODEL.error_95(fix()) == NO_ERROR
    assert MODEL.error_95(fix(vdop=1.0)) == NO_ERROR
    assert MODEL.error_95(fix(hdop=1.0)._replace(position=None)) == NO_ERROR
    assert NO_ERROR.as_json() == {"horizontal": None, "vertical": None}


def test_the_user_may_set_the_ranging_error() -> None:
    own = ErrorModel({FixMode.AUTONOMOUS: 10.0})
    assert own.error_95(fix(hdop=1.0)).horizontal_m == pytest.approx(17.30818)
    assert "10 m" in own.error_95(fix(hdop=1.0)).basis
    assert own.error_95(fix(FixMode.DIFFERENTIAL, hdop=1.0)) == NO_ERROR
    assert MODEL.error_95(fix(hdop=1.0)).horizontal_m == pytest.approx(6.92, abs=0.01)


def test_json_is_rounded_to_centimetres() -> None:
    assert MODEL.error_95(fix(FixMode.RTK_FIXED, hdop=1.0)).as_json() == {"horizontal": 0.03, "vertical": 0.06}


# Coverage: errors drawn as the model says, and the share that the 95 % figure covers. The axes are independent; a
# HDOP is the length of both axes together (DRMS), so each of two equal axes has HDOP x ranging error / sqrt 2.

EPOCHS = 4000
"""Sampling alone moves the share by 0.35 % (one sigma): far less than the bounds are wide."""


def coverage(error_m: float | None, axes: tuple[float, ...], seed: int) -> float:
    assert error_m is not None
    draw = random.Random(seed)
    errors = (math.hypot(*(draw.gauss(0.0, sigma) for sigma in axes)) for _ in range(EPOCHS))
    return sum(error <= error_m for error in errors) / EPOCHS


@pytest.mark.parametrize("hdop", [0.5, 0.9, 1.4, 2.6, 5.0])
@pytest.mark.parametrize("mode", [FixMode.AUTONOMOUS, FixMode.DIFFERENTIAL, FixMode.RTK_FLOAT, FixMode.RTK_FIXED])
def test_the_figure_covers_what_it_says_with_a_dilution(mode: FixMode, hdop: float) -> None:
    found = MODEL.error_95(fix(mode, hdop=hdop, vdop=1.5 * hdop))
    drms = hdop * RANGING_ERROR_M[mode]
    assert 0.94 <= coverage(found.horizontal_m, (drms / math.sqrt(2),) * 2, seed=1) <= 0.96
    assert 0.94 <= coverage(found.vertical_m, (1.5 * drms,), seed=2) <= 0.96


@pytest.mark.parametrize("ratio", [0.0, 0.2, 0.5, 0.8])
def test_a_dilution_that_hides_a_long_axis_still_covers_90_per_cent(ratio: float) -> None:
    """HDOP does not tell how the error is shared between the axes; in the worst case the figure covers 91.7 %."""
    drms = 1.2 * RANGING_ERROR_M[FixMode.AUTONOMOUS]
    longer = drms / math.hypot(1.0, ratio)
    found = MODEL.error_95(fix(hdop=1.2))
    assert 0.90 <= coverage(found.horizontal_m, (longer, ratio * longer), seed=3) <= 0.98


@pytest.mark.parametrize(("major", "minor"), [(2.5, 2.5), (3.0, 2.0), (6.0, 1.5), (4.0, 0.1), (0.012, 0.009)])
def test_the_figure_covers_what_it_says_with_the_receivers_statistics(major: float, minor: float) -> None:
    told = noise(semi_major_m=major, semi_minor_m=minor, orientation_deg=30.0, altitude_m=2 * major)
    found = MODEL.error_95(fix(noise=told))
    assert 0.94 <= coverage(found.horizontal_m, (major, minor), seed=4) <= 0.96
    assert 0.94 <= coverage(found.vertical_m, (2 * major,), seed=5) <= 0.96


@pytest.mark.parametrize("turned_deg", [0.0, 20.0, 45.0])
def test_an_ellipse_told_by_latitude_and_longitude_alone_is_covered(turned_deg: float) -> None:
    """Turned against north, its two sigmas look more alike than its axes are: never less than 90 %."""
    major, minor, turn = 6.0, 1.5, math.radians(turned_deg)
    north = math.hypot(major * math.cos(turn), minor * math.sin(turn))
    east = math.hypot(major * math.sin(turn), minor * math.cos(turn))
    found = MODEL.error_95(fix(noise=noise(latitude_m=north, longitude_m=east)))
    assert 0.90 <= coverage(found.horizontal_m, (major, minor), seed=6) <= 0.98


# Medians


@given(st.lists(st.floats(-1e6, 1e6), min_size=1))
def test_the_median_is_the_librarys(values: list[float]) -> None:
    assert median(values) == pytest.approx(statistics.median(values))


def running(values: list[float]) -> RunningMedian:
    found = RunningMedian()
    for value in values:
        found.add(value)
    return found


@given(st.lists(st.floats(0.0011, 50_000), min_size=1, max_size=60))
def test_the_running_median_is_right_to_one_per_cent(values: list[float]) -> None:
    found = running(values)
    assert found.median == pytest.approx(statistics.median(values), rel=0.01)
    assert found.largest == max(values)
    assert found.count == len(values)


def test_the_running_median_of_many_needs_no_more_memory() -> None:
    draw = random.Random(7)
    values = [draw.lognormvariate(1.5, 0.8) for _ in range(20_000)]
    found = running(values)
    assert found.median == pytest.approx(statistics.median(values), rel=0.01)
    assert len(found._counts) == len(RunningMedian()._counts)


def test_the_running_median_of_none_and_of_extremes() -> None:
    assert (RunningMedian().median, RunningMedian().largest) == (None, None)
    assert running([0.0, 0.0]).median == 0.0
    beyond = running([1e12]).median
    assert beyond is not None
    assert 50_000 < beyond < 1e12
