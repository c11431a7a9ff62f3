"""The simulator's errors: memory and size as stated; signals as in the table; what walls do."""

from __future__ import annotations

import math
import statistics
from itertools import pairwise
from random import Random

import pytest

from core.fix import FixMode
from core.rehearsal.front_end import obstacle
from core.rehearsal.gauss_markov import GaussMarkov, pace
from core.rehearsal.look import OPEN_SKY, Surroundings, Wall
from core.rehearsal.ranging import (
    BUDGETS,
    NO_ERRORS,
    WALL_FACTOR,
    WALL_PUSH,
    Atmosphere,
    ErrorBudget,
    Path,
    Ray,
    SatelliteErrors,
    blended,
    multipath_share,
    noise_factor,
    obliquity,
    paces,
    sigma_m,
    tropo_mapping,
)
from core.rehearsal.signals import HIDDEN_DB, OPEN, Obstacle, Signal, fading_pace, open_sky_dbhz
from tests.rehearsed import seen

AUTONOMOUS = BUDGETS[FixMode.AUTONOMOUS]
HIGH, LOW = Ray(10.0, 80.0, 48.0), Ray(10.0, 8.0, 38.0)
ONLY_MULTIPATH = ErrorBudget(0.0, 0.0, 0.0, 4.0, 0.0)


def series(dt_s: float, tau_s: float, count: int) -> list[float]:
    process, by = GaussMarkov(Random(7)), pace(dt_s, tau_s)
    found = []
    for _ in range(count):
        process.step(by)
        found.append(process.value)
    return found


def correlation(values: list[float], lag: int) -> float:
    return statistics.fmean(a * b for a, b in zip(values, values[lag:], strict=False)) / statistics.fmean(
        one * one for one in values
    )


@pytest.mark.parametrize(("dt_s", "tau_s"), [(1.0, 20.0), (0.1, 2.0), (5.0, 20.0)])
def test_a_process_has_variance_one_and_forgets_by_e_in_its_time(dt_s: float, tau_s: float) -> None:
    """40,000 steps of which 2 tau / dt count once: 1,000 independent values or more, so 0.1 is four sigma."""
    values = series(dt_s, tau_s, 40_000)
    assert statistics.fmean(values) == pytest.approx(0.0, abs=0.15)
    assert statistics.pvariance(values) == pytest.approx(1.0, abs=0.15)
    assert correlation(values, round(tau_s / dt_s)) == pytest.approx(math.exp(-1), abs=0.1)


def test_ten_small_steps_are_one_large_one() -> None:
    small, large = pace(0.1, 30.0), pace(1.0, 30.0)
    assert small.keep**10 == pytest.approx(large.keep)
    assert pace(1.0, 0.0).keep == 0.0
    assert pace(0.0, 30.0).kick == 0.0


# Shapes, against closed forms and figures from outside


def test_the_air_s_mappings_are_one_overhead_and_known_low_down() -> None:
    """3.0 for the shell and 10 for the troposphere at 5 degrees are textbook figures (from memory)."""
    assert obliquity(90.0) == pytest.approx(1.0)
    assert obliquity(5.0) == pytest.approx(3.0, abs=0.1)
    assert tropo_mapping(90.0) == pytest.approx(1.0, abs=1e-3)
    assert tropo_mapping(30.0) == pytest.approx(2.0, rel=0.01)
    assert tropo_mapping(5.0) == pytest.approx(10.2, abs=0.2)


def test_multipath_grows_low_down_and_noise_with_weakness() -> None:
    assert multipath_share(0.0) == pytest.approx(1.0)
    assert multipath_share(5.0) > 2 * multipath_share(20.0) > 2 * multipath_share(90.0)
    assert noise_factor(45.0) == pytest.approx(1.0)
    assert noise_factor(25.0) == pytest.approx(10.0)
    assert noise_factor(-50.0) == noise_factor(10.0)


def test_the_receiver_s_sigma_is_the_sum_of_squares_and_larger_low_down() -> None:
    flat = ErrorBudget(3.0, 0.0, 0.0, 0.0, 4.0)
    assert sigma_m(flat, Ray(0.0, 50.0, 45.0)) == pytest.approx(5.0)
    assert sigma_m(AUTONOMOUS, LOW) > 1.5 * sigma_m(AUTONOMOUS, HIGH)
    assert sigma_m(NO_ERRORS, LOW) == 0.0


def test_each_better_mode_has_smaller_errors() -> None:
    order = [FixMode.AUTONOMOUS, FixMode.DIFFERENTIAL, FixMode.RTK_FLOAT, FixMode.RTK_FIXED]
    sigmas = [sigma_m(BUDGETS[mode], Ray(0.0, 45.0, 45.0)) for mode in order]
    assert sigmas == sorted(sigmas, reverse=True)
    assert sigmas[-1] < 0.03


def test_a_budget_half_way_is_half_way_in_every_part() -> None:
    middle = blended(AUTONOMOUS, BUDGETS[FixMode.RTK_FLOAT], 0.5)
    assert middle.clock_ephemeris_m == pytest.approx(0.625)
    assert middle.clock_ephemeris_tau_s == pytest.approx(1050.0)
    assert blended(AUTONOMOUS, NO_ERRORS, 1.0) is NO_ERRORS


# Errors over many draws


def errors(budget: ErrorBudget, ray: Ray, count: int = 4000) -> list[float]:
    """Of as many satellites, each with a stream of its own."""
    return [SatelliteErrors(Random(f"7/{number}")).error_m(budget, ray) for number in range(count)]


@pytest.mark.parametrize("ray", [HIGH, LOW, Ray(0.0, 40.0, 28.0)])
def test_a_satellite_s_errors_are_of_the_size_stated(ray: Ray) -> None:
    """Without the air, which is common; a sigma from 4,000 has 1.1 % of scatter, four of that are allowed."""
    alone = ErrorBudget(1.0, 0.0, 0.0, 4.0, 0.4)
    found = errors(alone, ray)
    assert statistics.pstdev(found) == pytest.approx(sigma_m(alone, ray), rel=0.045)
    assert statistics.fmean(found) == pytest.approx(0.0, abs=4 * sigma_m(alone, ray) / math.sqrt(4000))


def test_walls_make_multipath_larger_and_push_it_up() -> None:
    ray = LOW._replace(path=Path.BOUNCED)
    size = WALL_FACTOR * 4.0 * multipath_share(8.0)
    found = errors(ONLY_MULTIPATH, ray)
    assert statistics.fmean(found) == pytest.approx(WALL_PUSH * size, rel=0.1)
    assert statistics.pstdev(found) == pytest.approx(size, rel=0.045)


def test_a_signal_by_a_wall_only_is_always_late() -> None:
    found = errors(ErrorBudget(0.0, 0.0, 0.0, 0.0, 0.0), Ray(0.0, 30.0, 30.0, Path.ONLY_BOUNCED))
    assert min(found) >= 4.3
    assert 10.0 < statistics.fmean(found) < 20.0


def test_the_air_is_common_to_neighbours_and_less_so_across_the_sky() -> None:
    near, far = [], []
    here, beside, across = Ray(90.0, 25.0, 45.0), Ray(94.0, 27.0, 45.0), Ray(270.0, 25.0, 45.0)
    for number in range(1500):
        air = Atmosphere(Random(number))
        first = air.delay_m(AUTONOMOUS, here)
        near.append((first, air.delay_m(AUTONOMOUS, beside)))
        far.append((first, air.delay_m(AUTONOMOUS, across)))
    likeness = [statistics.correlation(*zip(*pairs, strict=True)) for pairs in (near, far)]
    assert likeness[0] > 0.99
    assert 0.3 < likeness[1] < 0.9


def test_the_air_changes_over_minutes_not_seconds() -> None:
    air, by = Atmosphere(Random(3)), paces(AUTONOMOUS, 1.0, 0.0)
    values = []
    for _ in range(1800):
        air.step(by)
        values.append(air.delay_m(AUTONOMOUS, HIGH))
    steps = statistics.pstdev([b - a for a, b in pairwise(values)])
    assert 0.0 < steps < 0.1 * AUTONOMOUS.iono_m


def test_moving_multipath_changes_faster() -> None:
    assert paces(AUTONOMOUS, 1.0, 1.4).multipath.keep < paces(AUTONOMOUS, 1.0, 0.0).multipath.keep
    assert paces(AUTONOMOUS, 1.0, 0.0).multipath.keep == pytest.approx(math.exp(-1 / 60))


# Signals


@pytest.mark.parametrize(("elevation", "least", "most"), [(90, 45, 50), (60, 45, 50), (30, 40, 45), (8, 35, 45)])
def test_strength_in_the_open_is_that_of_the_table(elevation: float, least: float, most: float) -> None:
    """trade-facts.md a: 45 to 50 for a high satellite, 35 to 45 for a low one."""
    assert least <= open_sky_dbhz(elevation) <= most


def strengths(between: Obstacle, loss_db: float = 0.0, system: str = "G") -> list[float]:
    signal, by, found = Signal(system, Random(5)), fading_pace(1.0, 0.0), []
    for _ in range(2000):
        signal.step(by)
        found.append(signal.dbhz(50.0, between, loss_db))
    return found


def test_leaves_and_walls_take_their_share_and_make_it_swing() -> None:
    clear, leaves, hidden = (
        strengths(between) for between in (OPEN, Obstacle(leaves_db=12.0), Obstacle(Path.ONLY_BOUNCED))
    )
    assert statistics.fmean(clear) - statistics.fmean(leaves) == pytest.approx(12.0, abs=1.5)
    assert statistics.fmean(clear) - statistics.fmean(hidden) == pytest.approx(HIDDEN_DB, abs=1.5)
    assert statistics.pstdev(leaves) > 3 * statistics.pstdev(clear)
    assert statistics.fmean(strengths(OPEN, 20.0)) == pytest.approx(statistics.fmean(clear) - 20.0)


# Walls


EAST_WEST = Surroundings(walls=(Wall(20.0, 160.0, 60.0), Wall(200.0, 340.0, 60.0)))


@pytest.mark.parametrize(
    ("azimuth", "elevation", "met"),
    [
        (90, 70, Obstacle()), (0, 30, Obstacle()),
        (90, 45, Obstacle(Path.ONLY_BOUNCED)),  # over the near roof onto the far wall
        (90, 20, None),  # too low to reach it: tan 20 is less than a third of tan 60
    ],
)  # fmt: skip
def test_what_a_street_does_to_a_satellite(azimuth: float, elevation: float, met: Obstacle | None) -> None:
    assert obstacle(seen("G", 1, azimuth, elevation), EAST_WEST) == met


def test_a_wall_behind_throws_the_signal_back() -> None:
    one_wall = Surroundings(walls=(Wall(200.0, 340.0, 60.0),))
    assert obstacle(seen("G", 1, 90, 45), one_wall) == Obstacle(Path.BOUNCED)
    assert obstacle(seen("G", 1, 90, 65), one_wall) == Obstacle()
    assert obstacle(seen("G", 1, 270, 45), one_wall) is None
    assert obstacle(seen("G", 1, 90, 45), OPEN_SKY) == Obstacle()


def test_leaves_cost_their_loss_and_land_hides() -> None:
    wood = Surroundings(mask_deg=10.0, canopy_db=9.0)
    assert obstacle(seen("G", 1, 90, 45), wood) == Obstacle(leaves_db=9.0)
    assert obstacle(seen("G", 1, 90, 5), wood) is None
