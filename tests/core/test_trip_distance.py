"""Distance and times of a trip against walks of known length: standing adds nothing, walking all of it."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from core.fix import Fix, Utc
from core.trip import TripMeter
from tests.trips import (
    HARD,
    STANDING_NOISES,
    USUAL,
    finished,
    noisy_at_10_hz,
    shifted,
    walk_and_stop,
    walked,
)
from tests.walks import (
    ANYWHERE,
    NEAR_ANTIMERIDIAN,
    NEAR_NORTH_POLE,
    OCEAN,
    PACE_MPS,
    Noise,
    Step,
    fix_at,
    laid,
    loop,
    noisy,
    out_and_back,
    standing,
    straight,
    then,
    void,
)

HOUR_S = 3600


@pytest.mark.parametrize("noise", STANDING_NOISES, ids=str)
@pytest.mark.parametrize("seed", [1, 2])
def test_an_hour_of_standing_adds_nothing(noise: Noise, seed: int) -> None:
    totals = finished(noisy(standing(OCEAN, HOUR_S), noise, seed))
    assert totals.distance_m < 5.0
    assert totals.moving_s == pytest.approx(0.0, abs=20.0)
    assert totals.stopped_s == pytest.approx(HOUR_S, abs=20.0)
    assert totals.gaps == totals.jumps == 0


def test_the_raw_sum_of_that_hour_would_be_hundreds_of_metres() -> None:
    walk = noisy(standing(OCEAN, HOUR_S), Noise(2.0, 300.0), 1)
    raw = sum(math.dist(a.place, b.place) for a, b in pairwise(walk)) * 111_000
    assert raw > 600.0


@pytest.mark.parametrize("seed", range(4))
def test_a_measured_loop_with_stops_is_right_to_one_per_cent(seed: int) -> None:
    """Two rounds of 800 m at 1.4 m/s, with four stops of one to five minutes at the start and on the way."""
    round_s = 572
    rounds = loop(OCEAN, 800 / math.tau, 2 * round_s)
    walk = standing(rounds[0].place, 60)
    for stop_s, part in ((60, rounds[:400]), (300, rounds[400:900]), (120, rounds[900:])):
        walk = then(walk, shifted(part, -part[0].at_s), standing(part[-1].place, stop_s))
    totals = finished(noisy(walk, Noise(1.5, 300.0), seed))
    assert totals.distance_m == pytest.approx(2 * round_s * PACE_MPS, rel=0.01)
    assert totals.moving_s == pytest.approx(2 * round_s, abs=30.0)
    assert totals.average_mps == pytest.approx(PACE_MPS, rel=0.03)
    assert totals.moving_s + totals.stopped_s + totals.gap_s == pytest.approx(walk[-1].at_s)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(("mps", "noise", "within"), [(1.4, USUAL, 0.012), (1.4, HARD, 0.03), (0.5, USUAL, 0.02)])
def test_a_straight_kilometre(mps: float, noise: Noise, within: float, seed: int) -> None:
    totals = finished(noisy(straight(OCEAN, 77.0, 1000 / mps, mps=mps), noise, seed))
    assert totals.distance_m == pytest.approx(1000.0, rel=within)


@pytest.mark.parametrize("seed", range(3))
def test_a_slow_walk_in_hard_noise_is_right_to_some_per_cent(seed: int) -> None:
    totals = finished(noisy(straight(OCEAN, 77.0, 1000, mps=0.5), HARD, seed))
    assert totals.distance_m == pytest.approx(500.0, rel=0.08)


@pytest.mark.parametrize("start", ANYWHERE)
def test_anywhere_on_earth(start: tuple[float, float]) -> None:
    place = type(OCEAN)(*start)
    assert finished(straight(place, 10.0, 500)).distance_m == pytest.approx(700.0, rel=0.001)


def test_corners_and_turns_cost_little() -> None:
    there = finished(out_and_back(OCEAN, 10.0, 1000))
    assert there.distance_m == pytest.approx(1400.0, abs=4.0)
    corner = laid(OCEAN, 0.0, 700.0)
    around = finished(then(straight(OCEAN, 0.0, 499), straight(corner, 90.0, 500)))
    assert around.distance_m == pytest.approx(1400.0, abs=4.0)


@pytest.mark.parametrize("side", range(4))
def test_switchbacks_keep_their_length(side: int) -> None:
    """Twenty of 84 m, the path folding back on itself at each: chords alone would cut 6 m off each."""
    first = 84.0 + 0.35 * side
    seconds = round(first / PACE_MPS)
    zigzag = [abs((n + seconds) % (2 * seconds) - seconds) * PACE_MPS for n in range(20 * seconds + 1)]
    walk = [Step(float(n), laid(OCEAN, 90.0, metres)) for n, metres in enumerate(zigzag)]
    assert finished(walk).distance_m == pytest.approx(20 * seconds * PACE_MPS, rel=0.03)


@pytest.mark.parametrize("seed", range(2))
def test_ten_hertz_is_as_one_hertz(seed: int) -> None:
    walk = noisy_at_10_hz(straight(OCEAN, 300.0, 600, hz=10), USUAL, seed)
    fast, slow = finished(walk), finished(walk[::10])
    assert fast.distance_m == pytest.approx(slow.distance_m, rel=0.01)
    assert fast.distance_m == pytest.approx(600 * PACE_MPS, rel=0.015)
    assert fast.moving_s == pytest.approx(slow.moving_s, abs=2.0)


def test_stops_are_told_from_walking() -> None:
    totals = finished(noisy(walk_and_stop(420.0, 300), USUAL, 5))
    assert totals.moving_s == pytest.approx(300.0, abs=12.0)
    assert totals.stopped_s == pytest.approx(300.0, abs=12.0)


def test_a_car_counts_every_step() -> None:
    totals = finished(straight(OCEAN, 45.0, 600, mps=30.0))
    assert totals.distance_m == pytest.approx(18_000.0, rel=1e-4)
    assert totals.average_mps == pytest.approx(30.0, rel=0.01)


def test_a_fix_every_half_minute_still_is_a_way() -> None:
    """The first interval is not known to be usual, and counts as a gap."""
    walk = straight(OCEAN, 0.0, 3600)[::30]
    totals = finished(walk)
    assert (totals.gaps, totals.gap_s) == (1, 30.0)
    assert totals.distance_m == pytest.approx((3600 - 30) * PACE_MPS, rel=0.001)


def test_going_round_in_a_room_fills_no_memory_and_little_distance() -> None:
    room = loop(OCEAN, 3.0, 3600)
    totals = finished(then(straight(laid(OCEAN, 0.0, 100.0), 180.0, 68), room))
    assert 90.0 < totals.distance_m < 97.0 + 3600 * PACE_MPS / 4


# Gaps and jumps


def test_a_gap_is_named_and_not_bridged() -> None:
    first, second = straight(OCEAN, 0.0, 300), straight(laid(OCEAN, 90.0, 5000.0), 0.0, 300)
    totals = walked([*first, *shifted(second, 600.0)]).totals()
    assert (totals.gaps, totals.gap_s) == (1, 300.0)
    assert totals.distance_m == pytest.approx(2 * 300 * PACE_MPS, abs=20.0)


@pytest.mark.parametrize(("lost_s", "gaps"), [(10, 0), (11, 1)])
def test_ten_seconds_without_a_usable_fix_are_bridged_and_more_are_not(lost_s: int, gaps: int) -> None:
    walk = straight(OCEAN, 0.0, 400)
    meter = TripMeter()
    for step in walk:
        meter.take(fix_at(step), step.at_s, not 200 < step.at_s < 200 + lost_s)
    meter.finish()
    totals = meter.totals()
    assert (totals.gaps, totals.gap_s) == (gaps, lost_s * gaps)
    assert totals.distance_m == pytest.approx((400 - lost_s * gaps) * PACE_MPS, abs=0.1)


def test_losses_that_come_again_and_again_are_no_usual_interval() -> None:
    """Half a minute of void, a fix, and so on: not a receiver that reports every half minute."""
    meter = TripMeter()
    for step in straight(OCEAN, 0.0, 640):
        good = step.at_s % 32 < 1
        meter.take(fix_at(step) if good else void(step.at_s)[0], step.at_s, good)
    assert (meter.totals().gaps, meter.totals().gap_s) == (20, 20 * 32.0)


def test_the_gap_under_way_counts_already() -> None:
    meter = walked(straight(OCEAN, 0.0, 100))
    for second in range(101, 131):
        meter.take(Fix(utc=Utc(43_200_000 + second * 1000, None), told=True), second, False)
    assert (meter.totals().gaps, meter.totals().gap_s) == (1, 30.0)
    meter.take(fix_at(Step(131.0, OCEAN)), 131.0, True)
    assert (meter.totals().gaps, meter.totals().gap_s) == (1, 31.0)


def test_before_the_first_usable_fix_nothing_counts() -> None:
    meter = walked(straight(OCEAN, 0.0, 500), usable=False)
    assert not meter.begun
    totals = meter.totals()
    assert (totals.distance_m, totals.moving_s, totals.stopped_s, totals.gap_s, totals.gaps) == (0.0, 0.0, 0.0, 0.0, 0)
    assert (totals.average_mps, totals.fastest_mps, totals.began) == (None, None, None)


def test_a_jump_is_no_way() -> None:
    first, away = straight(OCEAN, 0.0, 200), straight(laid(OCEAN, 90.0, 3000.0), 0.0, 200)
    meter = TripMeter()
    for step in [*first, *shifted(away, 201.0)]:
        meter.take(fix_at(step)._replace(speed_mps=PACE_MPS), step.at_s, True)
    meter.finish()
    totals = meter.totals()
    assert (totals.jumps, totals.gaps, totals.gap_s) == (1, 0, 1.0)
    assert totals.distance_m == pytest.approx(400 * PACE_MPS, abs=3.0)


def test_a_leap_of_a_dozen_metres_at_rest_is_no_way_either() -> None:
    meter = TripMeter()
    for step in then(standing(OCEAN, 60), standing(laid(OCEAN, 90.0, 12.0), 60)):
        meter.take(fix_at(step)._replace(speed_mps=0.1), step.at_s, True)
    assert meter.totals().distance_m == 0.0


def test_the_receivers_clock_leads_where_the_line_stalls() -> None:
    """Fixes of five seconds that arrive at once are five seconds of walking."""
    meter = TripMeter()
    for step in straight(OCEAN, 0.0, 300):
        meter.take(fix_at(step), 5.0 * (step.at_s // 5), True)
    meter.finish()
    assert meter.totals().moving_s == pytest.approx(300.0, abs=5.0)
    assert meter.totals().distance_m == pytest.approx(300 * PACE_MPS, rel=0.01)


def test_without_a_receivers_clock_arrivals_count() -> None:
    meter = TripMeter()
    for step in straight(OCEAN, 0.0, 300):
        meter.take(fix_at(step)._replace(utc=None), step.at_s, True)
    meter.finish()
    assert meter.totals().distance_m == pytest.approx(300 * PACE_MPS, rel=0.001)
    assert meter.totals().began is None


def test_midnight_and_the_antimeridian_are_no_breaks() -> None:
    start = laid(NEAR_ANTIMERIDIAN, 270.0, 50.0)
    walk = shifted(straight(start, 90.0, 200), 43_100.0)  # noon and 43,200 s are midnight
    totals = finished(walk)
    assert (totals.gaps, totals.jumps) == (0, 0)
    assert totals.distance_m == pytest.approx(280.0, rel=0.001)


def test_time_going_back_is_a_break_that_adds_nothing() -> None:
    totals = finished([*straight(OCEAN, 0.0, 100), *straight(NEAR_NORTH_POLE, 0.0, 100)])
    assert totals.gaps == 1
    assert totals.gap_s == 0.0
    assert totals.distance_m == pytest.approx(200 * PACE_MPS, abs=16.0)
