"""Averaging a spot: what it is worth, and when no interval is stated. All figures are simulated."""

from __future__ import annotations

import math
from random import Random

import pytest

from core.averaging import NO_AVERAGE, WAITS_S, SiteSample, average
from core.memory_models import mean_variance
from tests.core.wandering import site, stated, wandering


def test_an_hour_says_what_it_is_worth() -> None:
    found = average(site())
    assert found.count == 3600
    assert found.duration_s == pytest.approx(3600)
    assert found.correlation_s == pytest.approx(60, rel=0.35)
    assert found.effective_count == pytest.approx(3600 / 120, rel=0.35)
    assert found.declined == ""
    assert found.naive_95_m is not None
    assert stated(found) > 5 * found.naive_95_m
    assert found.vertical_95_m is not None


def test_waiting_longer_gains_by_the_root_and_never_loses() -> None:
    found = average(site())
    radii = [stated(found), *(gain.horizontal_95_m for gain in found.waiting)]
    assert [gain.more_s for gain in found.waiting] == list(WAITS_S)
    assert radii == sorted(radii, reverse=True)
    assert radii[-1] / radii[0] == pytest.approx(math.sqrt(3600 / (3600 + 86_400)), rel=0.1)


def test_ten_minutes_of_slow_errors_are_declined_with_what_would_help() -> None:
    found = average(site(600, tau=600.0))
    assert found.horizontal_95_m is None
    assert found.vertical_95_m is None
    assert found.waiting == ()
    assert found.declined.startswith("too short")
    assert " more would do" in found.declined
    assert found.naive_95_m is not None


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("tau", "count"), [(60.0, 14_400), (20.0, 3600), (300.0, 14_400), (5.0, 14_400)])
def test_the_correlation_time_is_found_however_long_the_observation(tau: float, count: int, seed: int) -> None:
    """Of 48 to 2,880 correlation times, the last shorter than the means of stretches that stand for the fixes."""
    found = average(site(count, seed, tau))
    assert found.correlation_s == pytest.approx(tau, rel=0.4)
    assert found.effective_count == pytest.approx(count / (2 * tau), rel=0.6)


def test_nor_is_it_stretched_by_the_scatter_that_a_short_observation_lacks() -> None:
    """Of ten correlation times: fixes scatter a fifth less about their own mean than about the truth (variance)."""
    found = [one for seed in range(60) if (one := average(site(600, seed))).horizontal_95_m is not None]
    effective = sorted(one.effective_count or 0.0 for one in found)
    assert effective[len(effective) // 2] == pytest.approx(1 / mean_variance(10), rel=0.12)


def test_white_noise_on_top_shortens_it_by_its_share() -> None:
    rng = Random(2)
    noisy = [
        one._replace(east_m=one.east_m + rng.gauss(0.0, 2.0), north_m=one.north_m + rng.gauss(0.0, 2.0))
        for one in site(14_400)
    ]
    assert average(noisy).correlation_s == pytest.approx(30, rel=0.4)


def test_independent_fixes_are_worth_their_number_and_not_more() -> None:
    rng = Random(2)
    found = average([SiteSample(float(n), rng.gauss(0.0, 2.0), rng.gauss(0.0, 2.0), None) for n in range(3600)])
    assert found.naive_95_m is not None
    assert stated(found) == pytest.approx(found.naive_95_m, rel=0.2)
    assert found.effective_count is not None
    assert 2400 < found.effective_count <= 3600


def two_memories(seed: int, hours: float) -> tuple[float, float | None]:
    """How far the mean is from the truth, and what is said: 1 m of a minute with 1.5 m of twenty minutes on top."""
    rng, step_s = Random(seed), 5.0 if hours < 4 else 10.0
    count = round(hours * 3600 / step_s)
    axes = [
        [
            a + b
            for a, b in zip(
                wandering(rng, count, 1.0, 60 / step_s), wandering(rng, count, 1.5, 1200 / step_s), strict=True
            )
        ]
        for _ in range(2)
    ]
    found = average([SiteSample(step_s * n, e, up, None) for n, (e, up) in enumerate(zip(*axes, strict=True))])
    assert found.centre is not None
    return math.hypot(found.centre.east_m, found.centre.north_m), found.horizontal_95_m


@pytest.mark.parametrize("hours", [3, 6])
def test_two_memories_at_once_are_covered_or_declined(hours: float) -> None:
    """No first-order process, and the slow one rules. An hour is out of reach: core/averaging.py says so."""
    seen = [two_memories(seed, hours) for seed in range(100)]
    stated_of = [(miss, radius) for miss, radius in seen if radius is not None]
    missed = sum(miss > radius for miss, radius in stated_of)
    assert missed / len(seen) <= 0.1
    assert len(stated_of) > (0.6 if hours == 3 else 0.9) * len(seen)
    if hours == 6:
        assert missed / len(stated_of) <= 0.1


def test_a_drift_is_not_taken_for_scatter_about_a_mean() -> None:
    drifting = [one._replace(east_m=one.east_m / 4 + one.t_s / 100) for one in site(1200)]
    found = average(drifting)
    assert found.horizontal_95_m is None
    assert found.declined.startswith("too short")


def test_a_receiver_that_holds_its_position_says_nothing_of_its_error() -> None:
    still = [SiteSample(float(n), 1.25, -3.5, 20.0) for n in range(3600)]
    found = average(still)
    assert found.declined.startswith("the receiver holds its position still")
    assert found.horizontal_95_m is found.naive_95_m is None
    assert found.spread is not None
    assert found.spread.r95_m == 0.0


@pytest.mark.parametrize("begin", [20, 1800, 2700])
def test_nor_does_one_that_held_it_for_a_good_part_of_the_time(begin: int) -> None:
    clean = site()
    found = average([clean[min(n, begin)]._replace(t_s=float(n)) for n in range(3600)])
    assert found.declined.startswith("the receiver holds its position still")
    assert found.horizontal_95_m is found.vertical_95_m is found.naive_95_m is None


def test_positions_in_coarse_steps_give_no_fictitious_interval() -> None:
    """Four decimals of a minute are steps of 0.18 m: a receiver that wanders by less shows three or four places."""
    step = 0.185
    coarse = [
        SiteSample(one.t_s, step * round(one.east_m / 20 / step), step * round(one.north_m / 20 / step), None)
        for one in site()
    ]
    found = average(coarse)
    assert found.horizontal_95_m is None
    assert found.declined.startswith("the receiver holds its position still")


def test_steps_that_scatter_covers_do_no_harm() -> None:
    step = 0.185
    fine = site()
    coarse = [SiteSample(o.t_s, step * round(o.east_m / step), step * round(o.north_m / step), o.up_m) for o in fine]
    assert stated(average(coarse)) == pytest.approx(stated(average(fine)), rel=0.05)


def test_a_gap_is_not_covered() -> None:
    early, late = site(1800, 1), site(1800, 2)
    found = average([*early, *(one._replace(t_s=one.t_s + 10_000) for one in late)])
    assert found.duration_s == pytest.approx(3600, abs=2)


def test_without_heights_there_is_no_vertical_figure() -> None:
    flat = average([one._replace(up_m=None) for one in site()])
    assert (flat.vertical, flat.vertical_95_m) == (None, None)
    assert flat.centre is not None
    assert flat.centre.up_m is None
    assert stated(flat) == stated(average(site()))


def test_what_is_no_number_or_goes_back_in_time_is_passed_over() -> None:
    good = site(600)
    bad = [
        good[0]._replace(east_m=math.nan),
        *good,
        SiteSample(5.0, 0.0, 0.0, 0.0),
        SiteSample(math.inf, 0.0, 0.0, 0.0),
        SiteSample(700.0, 0.0, math.inf, None),
        SiteSample(701.0, 0.0, 0.0, math.nan),
    ]
    found = average(bad)
    assert found.count == 605
    assert set(found.outliers) >= {0, 601, 602, 603, 604}
    assert found.centre == average(good).centre


@pytest.mark.parametrize("size", [1e200, 1e-200, 1e9])
def test_figures_beyond_all_measure_are_no_error(size: float) -> None:
    found = average([one._replace(east_m=one.east_m * size, north_m=one.north_m * size) for one in site(300)])
    assert found.count == 300
    assert found.horizontal_95_m is None
    assert found.declined


@pytest.mark.parametrize("count", [*range(10), 60, 119])
def test_a_few_fixes_make_no_interval(count: int) -> None:
    found = average(site(count))
    assert found.count == count
    assert found.horizontal_95_m is None
    assert found.declined
    assert (found.centre is None) == (count == 0)
    assert (found.spread is None) == (count < 2)


def test_nothing_is_nothing() -> None:
    assert average([]) == NO_AVERAGE
    assert average([SiteSample(math.nan, 0.0, 0.0, None)]).centre is None


def test_ten_a_second_for_hours_say_the_same_as_one_a_second() -> None:
    rng = Random(5)
    east, north = (wandering(rng, 36_000, 2.0, 600.0) for _ in range(2))
    fast = [SiteSample(n / 10, e, u, None) for n, (e, u) in enumerate(zip(east, north, strict=True))]
    assert stated(average(fast)) == pytest.approx(stated(average(fast[::10])), rel=0.1)
