"""The simulator's least squares: exact without errors, DOPs as published, scatter as the DOPs say."""

from __future__ import annotations

import json
import math
import statistics
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.geometry import Dops, enough
from core.geometry import dilution as dops
from core.rehearsal.positioning import position, without_lone
from core.rehearsal.solve import HERE, Measurement, solve
from core.symmetric import Vector
from tests.tables import DATA

CASES = json.loads((DATA / "dop_cases.json").read_text("utf-8"))
RANGE_M = 22_000_000.0
OPEN = ((30, 15), (75, 62), (140, 33), (200, 71), (265, 24), (320, 45), (10, 50), (170, 20), (230, 40))
"""Azimuth and elevation in degrees, invented."""


def direction(azimuth_deg: float, elevation_deg: float) -> Vector:
    azimuth, elevation = math.radians(azimuth_deg), math.radians(elevation_deg)
    flat = math.cos(elevation)
    return (flat * math.sin(azimuth), flat * math.cos(azimuth), math.sin(elevation))


def ranges(systems: str, at: Vector = HERE, /, *, errors: tuple[float, ...] = (), **clocks: float) -> list[Measurement]:
    """Ranges to the satellites of OPEN, a letter of `systems` each, for a receiver at `at`."""
    found = []
    for number, (system, (azimuth, elevation)) in enumerate(zip(systems, OPEN, strict=False)):
        e, n, u = (RANGE_M * one for one in direction(azimuth, elevation))
        length = math.dist((e, n, u), at) + clocks.get(system, 0.0) + (errors[number] if errors else 0.0)
        found.append(Measurement(f"{system}{number + 1:02d}", system, (e, n, u), length))
    return found


# Exact without errors


@given(
    st.tuples(*[st.floats(-1e6, 1e6)] * 3),
    st.floats(-3e5, 3e5),
    st.floats(-1e3, 1e3),
    st.sampled_from(["GGGGG", "GGGGGG", "GGGRRR", "GRGRGRGRG", "GGGRRREEE"]),
)
def test_without_errors_the_solution_is_the_truth(at: Vector, clock_m: float, other_m: float, systems: str) -> None:
    """From a guess up to 1,700 km off, to a micrometre; double precision at this range ends at 4e-9 m a range."""
    clocks = {"G": clock_m, "R": clock_m + other_m, "E": clock_m - other_m}
    found = solve(ranges(systems, at, errors=(), **clocks))
    assert found is not None
    assert math.dist(found.offset_m, at) < 1e-6
    assert found.clocks_m == pytest.approx({key: clocks[key] for key in set(systems)}, abs=1e-6)
    assert max(map(abs, found.residuals_m)) < 1e-6
    assert found.dimensions == 3


def test_the_held_height_is_held_and_the_rest_exact() -> None:
    found = solve(ranges("GGG", (120.0, -80.0, 35.0), G=1234.5), held_up_m=35.0)
    assert found is not None
    assert found.offset_m == pytest.approx((120.0, -80.0, 35.0), abs=1e-6)
    assert found.dimensions == 2
    assert found.dops.vdop is None
    assert found.covariance_m2[2] == 0.0


def test_a_wrong_held_height_becomes_a_horizontal_error() -> None:
    found = solve(ranges("GGG"), held_up_m=100.0)
    assert found is not None
    assert math.hypot(*found.offset_m[:2]) > 30.0


def test_the_weights_decide_between_ranges_that_disagree() -> None:
    """With one range 50 m long, the error left falls as its sigma grows, to next to nothing."""
    wrong = ranges("GGGGGG", errors=(50.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    left = []
    for sigma in (1.0, 10.0, 1000.0):
        found = solve([wrong[0]._replace(sigma_m=sigma), *wrong[1:]])
        assert found is not None
        left.append(math.hypot(*found.offset_m))
    assert left[0] > left[1] > left[2]
    assert left[2] < 0.01


# What a system costs


@pytest.mark.parametrize(
    ("systems", "three", "two"),
    [
        ("GGGG", True, True), ("GGG", False, True), ("GG", False, False),
        ("GGGR", False, True), ("GGGRR", True, True), ("GGRR", False, True), ("GGRRE", False, True),
        ("GGRREE", True, True), ("GREC", False, False), ("GGRREECC", True, True), ("", False, False),
    ],
)  # fmt: skip
def test_each_system_costs_one_satellite(systems: str, three: bool, two: bool) -> None:
    """Three of place and one clock for each system in space; two and one on a known height."""
    assert enough(systems) is three
    assert enough(systems, flat=True) is two
    measured = ranges(systems)
    assert (solve(measured) is not None) is three
    assert (solve(measured, held_up_m=0.0) is not None) is two


def test_a_lone_satellite_of_a_system_changes_nothing() -> None:
    """Whatever its range says, it only sets its own clock; so it is not used."""
    alone = ranges("GGGGG", G=77.0)
    with_one = [*alone, ranges("GGGGGR", R=1e5)[5]]
    first, second = solve(alone), solve(with_one)
    assert first is not None
    assert second is not None
    assert second.offset_m == pytest.approx(first.offset_m, abs=1e-6)
    assert second.dops == pytest.approx(first.dops)
    assert without_lone(with_one) == alone


def test_a_second_clock_makes_the_dops_worse_than_one_for_all() -> None:
    sky = [direction(*one) for one in OPEN]
    one_clock = dops([("G", unit) for unit in sky])
    two_clocks = dops([(system, unit) for system, unit in zip("GRGRGRGRG", sky, strict=True)])
    assert one_clock is not None
    assert two_clocks is not None
    assert two_clocks.pdop > one_clock.pdop
    assert two_clocks.tdop > one_clock.tdop


# DOPs


def sky_of(case: dict[str, Any]) -> list[tuple[str, Vector]]:
    return [("G", direction(one["az"], one["el"])) for one in case["satellites"]]


@pytest.mark.parametrize("case", CASES["cases"], ids=lambda case: case["id"])
def test_dops_are_those_published(case: dict[str, Any]) -> None:
    found = dops(sky_of(case))
    assert found is not None
    got = {key: getattr(found, key) for key in case["dop"]}
    assert got == {key: pytest.approx(value, abs=2e-6) for key, value in case["dop"].items()}


@pytest.mark.parametrize("case", CASES["singular"], ids=lambda case: case["id"])
def test_where_there_is_no_inverse_there_is_no_number(case: dict[str, Any]) -> None:
    assert dops(sky_of(case)) is None


def test_two_satellites_in_one_direction_give_no_position_in_two_dimensions() -> None:
    assert dops([("G", direction(90, elevation)) for elevation in (10, 40, 70)], flat=True) is None


# Scatter


def spread(systems: str, weights: tuple[float, ...]) -> tuple[list[Vector], Dops, tuple[float, ...]]:
    """3,000 solutions of ranges with independent normal errors of these sigmas."""
    rng = Random(20310504)
    clean = [one._replace(sigma_m=sigma) for one, sigma in zip(ranges(systems, G=3e4, R=-2e3), weights, strict=True)]
    found = []
    for _ in range(3000):
        noisy = [one._replace(pseudorange_m=one.pseudorange_m + rng.gauss(0.0, one.sigma_m)) for one in clean]
        solution = solve(noisy)
        assert solution is not None
        found.append(solution)
    return [one.offset_m for one in found], found[0].dops, found[0].covariance_m2


def axis_sigmas(offsets: list[Vector]) -> list[float]:
    return [math.sqrt(statistics.fmean(one[axis] ** 2 for one in offsets)) for axis in range(3)]


@pytest.mark.parametrize("systems", ["GGGGGGGGG", "GRGRGRGRG"])
def test_scatter_is_dop_times_ranging_error(systems: str) -> None:
    """The estimate of a sigma from 3,000 has itself 1.3 % of scatter: four of that are allowed."""
    offsets, dilution, _ = spread(systems, (2.5,) * 9)
    e, n, u = axis_sigmas(offsets)
    assert math.hypot(e, n) == pytest.approx(2.5 * dilution.hdop, rel=0.052)
    assert dilution.vdop is not None
    assert u == pytest.approx(2.5 * dilution.vdop, rel=0.052)


def test_scatter_of_unequal_ranges_is_the_covariance() -> None:
    offsets, _, covariance = spread("GRGRGRGRG", (1.0, 2.0, 5.0, 1.0, 3.0, 0.5, 2.0, 8.0, 1.0))
    assert axis_sigmas(offsets) == pytest.approx([math.sqrt(one) for one in covariance[:3]], rel=0.052)
    product = statistics.fmean(e * n for e, n, _ in offsets)
    assert product == pytest.approx(covariance[3], abs=0.08 * math.sqrt(covariance[0] * covariance[1]))


# What a receiver stands by


def test_a_faulty_range_is_left_out_when_others_can_tell() -> None:
    good = ranges("GGGGGGGGG", G=5.0)
    bad = [*good[:4], good[4]._replace(pseudorange_m=good[4].pseudorange_m + 300.0), *good[5:]]
    found = position(bad, HERE, 0.0)
    assert found is not None
    assert [one.name for one in found.measurements] == [one.name for one in good if one.name != "G05"]
    assert math.hypot(*found.solution.offset_m) < 1e-6


def test_five_tell_that_one_is_faulty_but_not_which() -> None:
    bad = ranges("GGGGG", errors=(0.0, 300.0, 0.0, 0.0, 0.0))
    found = position(bad, HERE, 0.0)
    assert found is not None
    assert len(found.measurements) == 5
    assert math.hypot(*found.solution.offset_m) > 10.0
    assert not found.good_for_carrier


def test_three_are_a_position_on_the_held_height_and_two_are_none() -> None:
    spread_out = ranges("GGGGG", (5.0, 6.0, 7.0))[::2]
    three = position(spread_out, HERE, 7.0)
    assert three is not None
    assert three.solution.dimensions == 2
    assert three.solution.offset_m == pytest.approx((5.0, 6.0, 7.0), abs=1e-6)
    assert position(spread_out, HERE, None) is None
    assert position(spread_out[:2], HERE, 7.0) is None


def test_three_in_a_row_are_no_position() -> None:
    """Their HDOP is 21.7."""
    assert solve(ranges("GGG"), held_up_m=0.0) is not None
    assert position(ranges("GGG"), HERE, 0.0) is None


def test_hopeless_geometry_falls_back_to_two_dimensions() -> None:
    """Four nearly on a cone: up and clock cannot be told apart, the plane can."""
    cone = [(0, 45), (90, 45), (180, 45), (270, 45.2)]
    sky = [("G", direction(*one)) for one in cone]
    solid = dops(sky)
    assert solid is None or solid.pdop > 100.0
    measured = [
        Measurement(f"G{n:02d}", "G", (RANGE_M * e, RANGE_M * h, RANGE_M * u), RANGE_M)
        for n, (_, (e, h, u)) in enumerate(sky)
    ]
    found = position(measured, HERE, 0.0)
    assert found is not None
    assert found.solution.dimensions == 2
