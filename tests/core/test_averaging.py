"""Averaging a spot: what counts, what is left out, when no interval is stated. All figures are simulated."""

from __future__ import annotations

import math
from random import Random

import pytest

from core.averaging import DEFINITIONS, NO_AVERAGE, WAITS_S, SiteAverage, SiteSample, average
from core.mean_error import cosines
from core.memory_models import length_of, mean_variance, models
from core.outliers import outliers
from core.scatter import quantile, spread_of, vertical_spread_of


def wandering(rng: Random, count: int, sigma: float, tau: float) -> list[float]:
    """First-order Gauss-Markov at 1 Hz."""
    keep = math.exp(-1.0 / tau)
    value, found = rng.gauss(0.0, sigma), []
    for _ in range(count):
        found.append(value)
        value = keep * value + rng.gauss(0.0, sigma * math.sqrt(1.0 - keep * keep))
    return found


def site(count: int = 3600, seed: int = 1, tau: float = 60.0, sigma: float = 2.0) -> list[SiteSample]:
    rng = Random(seed)
    axes = [wandering(rng, count, sigma, tau) for _ in range(3)]
    return [SiteSample(float(n), *row) for n, row in enumerate(zip(*axes, strict=True))]


def stated(found: SiteAverage) -> float:
    assert found.horizontal_95_m is not None, found.declined
    return found.horizontal_95_m


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


# Scatter


def test_the_figures_of_round_scatter_are_those_of_the_normal_law() -> None:
    """accuracy.toml [two_dimensions], in units of sigma; 100,000 points leave about 0.4 %."""
    rng = Random(8)
    east, north = ([rng.gauss(0.0, 1.0) for _ in range(100_000)] for _ in range(2))
    found = spread_of(east, north)
    assert found.cep_m == pytest.approx(1.177410, rel=0.012)
    assert found.drms_m == pytest.approx(1.414214, rel=0.012)
    assert found.r95_m == pytest.approx(2.447747, rel=0.012)
    assert found.two_drms_m == pytest.approx(2.828427, rel=0.012)
    assert found.correlation == pytest.approx(0.0, abs=0.02)
    assert vertical_spread_of(east).p50_m == pytest.approx(0.674490, rel=0.02)
    assert vertical_spread_of(east).p95_m == pytest.approx(1.959964, rel=0.02)


def test_scatter_on_a_line_has_its_direction() -> None:
    rng = Random(8)
    along = [rng.gauss(0.0, 3.0) for _ in range(1000)]
    found = spread_of(along, [-0.5 * value for value in along])
    assert found.correlation == pytest.approx(-1.0)
    assert found.sigma_east_m == pytest.approx(2 * found.sigma_north_m)
    assert spread_of(along, [0.0] * 1000).correlation == 0.0


def test_every_figure_is_defined() -> None:
    assert set(DEFINITIONS) == {"CEP", "DRMS", "R95", "2DRMS"}


def test_quantiles_lie_between_neighbours() -> None:
    assert [quantile([1.0, 2.0, 4.0], share) for share in (0.0, 0.25, 0.5, 0.75, 1.0)] == [1.0, 1.5, 2.0, 3.0, 4.0]


# What is underneath


def test_covariances_of_the_cosines_are_those_of_a_sum() -> None:
    """Beside the double sum over 600 points; diagonal less product, for even and odd k."""
    n, count, length = 600, 6, 4.0
    at = [(i + 0.5) / n for i in range(n)]
    waves = [[math.sqrt(2) * math.cos(k * math.pi * t) for t in at] for k in range(1, count + 1)]
    model = min((one for one in models(count) if one.white == 0.0), key=lambda one: abs(one.length - length))
    decay = [math.exp(-model.length * lag / n) for lag in range(n)]
    for k, wave in enumerate(waves):
        for m, other in enumerate(waves[: k + 1]):
            total = math.fsum(wave[i] * other[j] * decay[abs(i - j)] for i in range(0, n, 3) for j in range(0, n, 3))
            assert total * 9 / n**2 == pytest.approx(_modelled(model.length, k + 1, m + 1), abs=0.004)


def _modelled(a: float, k: int, m: int) -> float:
    """The closed form of core/memory_models.py, written out again."""
    u, v = 1 / (a * a + (k * math.pi) ** 2), 1 / (a * a + (m * math.pi) ** 2)
    crossed = 0.0 if (k + m) % 2 else 4 * a * a * (1 - (-1) ** k * math.exp(-a)) * u * v
    return (2 * a * u if k == m else 0.0) - crossed


@pytest.mark.parametrize("length", [1.0, 10.0, 100.0])
def test_the_inverse_that_is_used_is_that_of_those_covariances(length: float) -> None:
    """Times the matrix it gives back what it was given; the determinant by elimination."""
    count = 6
    model = min((one for one in models(count) if one.white == 0.0), key=lambda one: abs(one.length - length))
    matrix = [[_modelled(model.length, k, m) for m in range(1, count + 1)] for k in range(1, count + 1)]
    given = [0.3, -1.0, 0.5, 2.0, -0.7, 0.1]
    solved = [value / d for value, d in zip(given, model.diagonal, strict=True)]
    for product, gain in zip(model.products, model.gains, strict=True):
        along = gain * math.fsum(p * value for p, value in zip(product, given, strict=True))
        solved = [value + along * p for value, p in zip(solved, product, strict=True)]
    back = [math.fsum(a * b for a, b in zip(row, solved, strict=True)) for row in matrix]
    assert back == pytest.approx(given, rel=1e-9)
    assert model.log_det == pytest.approx(_log_det(matrix), rel=1e-9)


def _log_det(matrix: list[list[float]]) -> float:
    rows, total = [row[:] for row in matrix], 0.0
    for k, row in enumerate(rows):
        total += math.log(row[k])
        for below in rows[k + 1 :]:
            factor = below[k] / row[k]
            below[k:] = [a - factor * b for a, b in zip(below[k:], row[k:], strict=True)]
    return total


@pytest.mark.parametrize("length", [0.01, 1.0, 10.0, 3000.0])
def test_a_variance_leads_back_to_its_length(length: float) -> None:
    assert length_of(mean_variance(length)) == pytest.approx(length, rel=1e-6)


def test_a_pure_wave_is_one_coefficient() -> None:
    n = 240
    wave = [math.cos(7 * math.pi * (i + 0.5) / n) for i in range(n)]
    found = cosines(wave)
    assert found[6] == pytest.approx(1 / math.sqrt(2))
    assert [value for k, value in enumerate(found, 1) if k != 7] == pytest.approx([0.0] * (len(found) - 1), abs=1e-12)
