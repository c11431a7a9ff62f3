"""Climbs against profiles of known height under seeded noise."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from itertools import accumulate

import pytest

from core.ascent import NOTHING_CLIMBED, Climb, ranges
from tests.trips import climbed

Errors = Callable[[int, int], list[float]]


def white(sigma_m: float) -> Errors:
    def errors(count: int, seed: int) -> list[float]:
        rng = random.Random(seed)
        return [rng.gauss(0.0, sigma_m) for _ in range(count)]

    return errors


def slow(sigma_m: float, tau_s: float) -> Errors:
    """First-order Gauss-Markov, and 0.5 m white."""

    def errors(count: int, seed: int) -> list[float]:
        rng = random.Random(seed)
        keep = math.exp(-1.0 / tau_s)
        drive = sigma_m * math.sqrt(1.0 - keep * keep)
        steps = [rng.gauss(0.0, sigma_m), *(rng.gauss(0.0, drive) for _ in range(count - 1))]
        return [one + rng.gauss(0.0, 0.5) for one in accumulate(steps, lambda last, new: keep * last + new)]

    return errors


NOISES = {"white": white(3.0), "1 min": slow(3.0, 60.0), "5 min": slow(3.0, 300.0), "10 min": slow(3.0, 600.0)}
LEVEL = [100.0] * 3600
STEADY = [100.0] * 60 + [100.0 + n / 6 for n in range(3001)] + [600.0] * 60
HILLS = [100.0 - 50.0 * math.cos(math.tau * n / 1800) for n in range(5401)]
"""Three of 100 m, half an hour each."""


def noisy(profile: list[float], name: str, seed: int) -> list[float]:
    return [height + error for height, error in zip(profile, NOISES[name](len(profile), seed), strict=True)]


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("name", NOISES)
def test_a_level_walk_climbs_nothing_for_certain(name: str, seed: int) -> None:
    totals = climbed(noisy(LEVEL, name, seed))
    assert totals.climb_known
    for low, high in (totals.ascent_m, totals.descent_m):
        assert low == 0.0
        assert high < 100.0


def test_a_level_walk_with_white_noise_climbs_nothing_at_all() -> None:
    assert climbed(noisy(LEVEL, "white", 9)).ascent_m == (0.0, 0.0)


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("name", NOISES)
def test_a_steady_climb_of_500_m_is_in_its_range(name: str, seed: int) -> None:
    totals = climbed(noisy(STEADY, name, seed))
    low, high = totals.ascent_m
    assert low <= 500.0 <= high
    assert high - low < 40.0
    assert totals.descent_m[0] == 0.0


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("name", NOISES)
def test_hills_are_in_both_ranges(name: str, seed: int) -> None:
    totals = climbed(noisy(HILLS, name, seed))
    for low, high in (totals.ascent_m, totals.descent_m):
        assert low <= 300.0 <= high
        assert low > 250.0


def test_sums_never_fall_and_keep_apart() -> None:
    climb = Climb()
    before = climb.climbed()
    for height in noisy(HILLS, "1 min", 4):
        climb.take(height, 1.0)
        now = climb.climbed()
        assert all(b >= a for a, b in zip(before, now, strict=True))
        (low_up, high_up), (low_down, high_down) = ranges(now)
        assert low_up <= high_up
        assert low_down <= high_down
        before = now


def test_a_part_is_the_difference_of_two_sums() -> None:
    climb = Climb()
    for height in STEADY[:1600]:
        climb.take(height, 1.0)
    half = climb.climbed()
    for height in STEADY[1600:]:
        climb.take(height, 1.0)
    (low, high), _ = ranges(climb.climbed(), half)
    assert low <= 600.0 - STEADY[1599] + 5.0 <= high + 5.0
    assert ranges(half, half) == ((0.0, 0.0), (0.0, 0.0))


def test_a_climb_over_a_gap_is_not_bridged() -> None:
    climb = Climb()
    for height in [100.0] * 60:
        climb.take(height, 1.0)
    climb.begin()
    for height in [400.0] * 60:
        climb.take(height, 300.0)
    assert climb.climbed()[:4] == NOTHING_CLIMBED[:4]


@pytest.mark.parametrize("spike", [250.0, -9999.0, 1e9])
def test_a_spike_is_no_climb(spike: float) -> None:
    assert climbed([100.0] * 200 + [spike] + [100.0] * 200).ascent_m == (0.0, 0.0)


def test_assumed_and_missing_heights_are_unknown() -> None:
    assert not climbed([100.0 + n for n in range(100)], dimensions=2).climb_known
    climb = Climb()
    climb.take(None, 1.0)
    assert not climb.climbed().known


def test_heights_that_come_every_fifth_second() -> None:
    climb = Climb()
    for second, height in enumerate(STEADY):
        climb.take(None if second % 5 else height, 1.0)
    (low, high), _ = ranges(climb.climbed())
    assert low <= 500.0 <= high
