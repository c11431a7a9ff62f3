"""What an averaging leaves out, and what is no outlier. All figures are simulated."""

from __future__ import annotations

import math
from random import Random

import pytest

from core.averaging import average
from core.outliers import outliers
from tests.core.wandering import site, stated


def test_jumps_are_left_out_of_mean_and_scatter_and_named() -> None:
    clean = site()
    hit = [100, 101, 102, 1500, 3599]
    spoilt = [one._replace(east_m=one.east_m + 50.0) if n in hit else one for n, one in enumerate(clean)]
    found = average(spoilt)
    assert found.outliers == tuple(hit)
    before = average(clean)
    assert found.centre is not None
    assert before.centre is not None
    assert found.centre.east_m == pytest.approx(before.centre.east_m, abs=0.02)
    assert found.spread is not None
    assert found.spread.r95_m < 8


def test_one_in_twenty_may_be_far_off() -> None:
    rng = Random(3)
    clean = site()
    hit = sorted(rng.sample(range(3600), 180))
    spoilt = {n: clean[n]._replace(north_m=clean[n].north_m + rng.choice((-80.0, 60.0))) for n in hit}
    found = average([spoilt.get(n, one) for n, one in enumerate(clean)])
    assert set(found.outliers) == set(hit)
    centre = average(clean).centre
    assert found.centre is not None
    assert centre is not None
    assert math.hypot(found.centre.east_m - centre.east_m, found.centre.north_m - centre.north_m) < 0.1


@pytest.mark.parametrize("tau", [10.0, 60.0, 1200.0])
def test_slow_wandering_is_no_outlier(tau: float) -> None:
    assert sum(len(average(site(3600, seed, tau)).outliers) for seed in range(5)) < 0.005 * 5 * 3600


def test_a_jump_that_dies_away_is_left_out_until_it_is_back() -> None:
    """As receivers that smooth their positions come back: 50 m, and a fifth less each second."""
    hit = {1000 + n: 50.0 * 0.8**n for n in range(12)}
    found = average([one._replace(east_m=one.east_m + hit.get(n, 0.0)) for n, one in enumerate(site())])
    assert set(found.outliers) >= set(range(1000, 1006))
    assert set(found.outliers) <= set(hit)


@pytest.mark.parametrize("at", [310, 318, 325, 340])
def test_a_step_that_stays_is_no_outlier_wherever_it_falls(at: int) -> None:
    rng = Random(6)
    east = [rng.gauss(0.0, 1.0) + (40.0 if n >= at else 0.0) for n in range(620)]
    assert outliers(east, [rng.gauss(0.0, 1.0) for _ in east]) == ()


def test_a_receiver_that_rests_between_moves_loses_nothing_as_outliers() -> None:
    """It gives a new position each minute and repeats it: most fixes are exactly as their neighbours."""
    clean = site()
    resting = [clean[n // 60 * 60]._replace(t_s=float(n)) for n in range(3600)]
    found = average(resting)
    assert found.outliers == ()
    assert stated(found) == pytest.approx(stated(average(clean)), rel=0.25)


def test_nor_does_one_that_moves_only_when_it_must() -> None:
    """It keeps its position until it believes to be 2 m away: more than half of its fixes are as their neighbours."""
    clean = site()
    told = [clean[0]]
    for one in clean[1:]:
        last = told[-1]
        away = math.hypot(one.east_m - last.east_m, one.north_m - last.north_m) > 2.0
        told.append(one if away else last._replace(t_s=one.t_s, up_m=one.up_m))
    assert len(average(told).outliers) < 0.01 * len(told)


def test_a_fix_whose_height_alone_jumps_does_not_count() -> None:
    clean = site()
    spoilt = [one._replace(up_m=(one.up_m or 0.0) + 80.0) if n % 30 == 7 else one for n, one in enumerate(clean)]
    found, before = average(spoilt), average(clean)
    assert found.outliers == tuple(range(7, 3600, 30))
    assert found.centre is not None
    assert before.centre is not None
    assert found.centre.up_m == pytest.approx(before.centre.up_m, abs=0.1)
