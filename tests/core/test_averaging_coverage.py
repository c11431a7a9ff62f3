"""The interval that averaging states, tried on 500 seeded first-order Gauss-Markov series at each length.

Nobody tells the estimator the correlation time. The series are made here in a loop of their own, not by the project's
simulator. What a stated 95 % interval must do is in its name; the bounds of 93 and 97 % allow for 500 trials (one
standard deviation of the count is 1 %). Beside it stands what sigma over the root of the number would have covered."""

from __future__ import annotations

import math
from functools import cache
from random import Random
from typing import NamedTuple

import pytest

from core.averaging import SiteSample, average
from core.memory_models import mean_variance

TRIALS = 500
TAU_S, STEP_S, SIGMA_M = 60.0, 2.0, 2.0


class Trial(NamedTuple):
    miss_m: float
    stated_m: float | None
    naive_m: float
    vertical_miss_m: float
    vertical_m: float | None


def gauss_markov(rng: Random, count: int, white_m: float = 0.0) -> list[float]:
    """About a truth of 0."""
    keep = math.exp(-STEP_S / TAU_S)
    kick, value, found = SIGMA_M * math.sqrt(1.0 - keep * keep), rng.gauss(0.0, SIGMA_M), []
    for _ in range(count):
        found.append(value + (rng.gauss(0.0, white_m) if white_m else 0.0))
        value = keep * value + rng.gauss(0.0, kick)
    return found


@cache
def trials(lengths: float, white_m: float = 0.0) -> tuple[Trial, ...]:
    """Two axes of the place and one of height, observed for so many correlation times."""
    rng, count = Random(f"{lengths} {white_m}"), round(lengths * TAU_S / STEP_S)
    return tuple(_trial(rng, count, white_m) for _ in range(TRIALS))


def _trial(rng: Random, count: int, white_m: float) -> Trial:
    axes = [gauss_markov(rng, count, white_m) for _ in range(3)]
    found = average([SiteSample(STEP_S * n, *row) for n, row in enumerate(zip(*axes, strict=True))])
    assert found.centre is not None
    assert found.centre.up_m is not None
    assert found.naive_95_m is not None
    miss = math.hypot(found.centre.east_m, found.centre.north_m)
    return Trial(miss, found.horizontal_95_m, found.naive_95_m, abs(found.centre.up_m), found.vertical_95_m)


def covers(pairs: list[tuple[float, float]]) -> float:
    return sum(miss <= radius for miss, radius in pairs) / len(pairs)


def horizontal(found: tuple[Trial, ...]) -> list[tuple[float, float]]:
    return [(one.miss_m, one.stated_m) for one in found if one.stated_m is not None]


def vertical(found: tuple[Trial, ...]) -> list[tuple[float, float]]:
    return [(one.vertical_miss_m, one.vertical_m) for one in found if one.vertical_m is not None]


@pytest.mark.parametrize("lengths", [10, 30])
@pytest.mark.parametrize("what", [horizontal, vertical])
def test_the_stated_interval_covers_the_truth_as_often_as_it_says(lengths: float, what: object) -> None:
    assert callable(what)
    stated = what(trials(lengths))
    assert len(stated) >= TRIALS * (0.5 if lengths == 10 else 0.97), "coverage must not be bought by silence"
    assert 0.93 <= covers(stated) <= 0.97


@pytest.mark.parametrize("what", [horizontal, vertical])
def test_three_correlation_times_are_covered_or_declined(what: object) -> None:
    assert callable(what)
    stated = what(trials(3))
    missed = sum(miss > radius for miss, radius in stated)
    assert missed / TRIALS <= 0.07
    assert len(stated) < TRIALS / 3, "most of them must be declined"


@pytest.mark.parametrize("lengths", [3, 10, 30])
def test_the_naive_interval_fails_beside_it(lengths: float) -> None:
    assert covers([(one.miss_m, one.naive_m) for one in trials(lengths)]) < 0.3


@pytest.mark.parametrize("lengths", [10, 30])
def test_the_interval_is_not_bought_by_width(lengths: float) -> None:
    """Beside who knows the correlation time: 2.448 sigma (accuracy.toml, R95) of the mean's own error."""
    ideal = 2.447747 * SIGMA_M * math.sqrt(mean_variance(lengths))
    widths = sorted(radius for _, radius in horizontal(trials(lengths)))
    assert widths[len(widths) // 2] / ideal < (1.5 if lengths == 10 else 1.25)


def test_white_noise_on_top_changes_nothing_of_that() -> None:
    """As large as the wandering itself."""
    stated = horizontal(trials(30, SIGMA_M))
    assert len(stated) >= 0.95 * TRIALS
    assert 0.93 <= covers(stated) <= 0.975


def test_the_variance_of_a_mean_is_that_of_the_sum_of_its_covariances() -> None:
    """Beside a double sum over 2,000 steps."""
    for length in (0.5, 3.0, 10.0, 30.0):
        n = 2000
        total = 1.0 / n + 2.0 * math.fsum((1 - lag / n) / n * math.exp(-length * lag / n) for lag in range(1, n))
        assert mean_variance(length) == pytest.approx(total, rel=0.01)


@pytest.mark.parametrize(
    ("minutes", "table"),
    [
        (1, (0.57, 0.42, 0.25, 0.18, 0.09, 0.04)),
        (10, (0.92, 0.86, 0.67, 0.53, 0.28, 0.12)),
        (30, (0.97, 0.95, 0.86, 0.75, 0.47, 0.20)),
    ],
)
def test_what_is_left_after_waiting_is_what_the_table_says(minutes: float, table: tuple[float, ...]) -> None:
    """trade-facts.md c (calc): remaining fraction of a slow error after 5, 10, 30, 60 min, 4 h and 24 h."""
    waits = (5, 10, 30, 60, 240, 1440)
    assert [math.sqrt(mean_variance(wait / minutes)) for wait in waits] == pytest.approx(table, abs=0.006)
