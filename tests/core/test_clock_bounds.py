"""The bounds hold the truth, simulated: latencies, jitter, USB, networks, rates, speeds, overruns, leap seconds, steps.

The truth is that of tests/station.py, which shares no code with what is tested. Latencies lie within the assumed ones,
unless a test says otherwise: the bounds are stated under that assumption.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

import pytest

from core.clock_report import SlotVerdict
from core.latency import ASSUMED, stated
from tests.build import gga, rmc
from tests.station import Station, Watched, crowded, plain, short, sky_first, watch

ROUNDING_S = 1e-6


def check(watched: Watched) -> int:
    """Every bound that was stated holds what was true then; how many intervals there were."""
    intervals = 0
    for truth_s, report in watched.reports:
        assert (report.low_s is None) == (report.high_s is None)
        if report.low_s is not None and report.high_s is not None:
            assert report.low_s - ROUNDING_S <= truth_s <= report.high_s + ROUNDING_S, report
            intervals += 1
        if report.at_most_s is not None:
            assert truth_s <= report.at_most_s + ROUNDING_S, report
        if report.verdict is SlotVerdict.YES:
            assert abs(truth_s) <= 1.0
        if report.verdict is SlotVerdict.NO:
            assert abs(truth_s) >= 1.0
    return intervals


def exponential(mean_s: float) -> Callable[[random.Random], float]:
    return lambda chance: chance.expovariate(1 / mean_s)


def spikes(share: float, size_s: float) -> Callable[[random.Random], float]:
    return lambda chance: size_s if chance.random() < share else 0.0


# Within the assumption


@pytest.mark.parametrize("offset_s", [0.0, 0.37, -2.6, 41.0, -7000.25, -1_468_800.25])
@pytest.mark.parametrize("latency_s", [0.05, 0.2, 0.59])
def test_a_constant_latency(latency_s: float, offset_s: float) -> None:
    station = Station(offset_s, latency_s)
    watched = watch(station)
    assert check(watched) > 5
    low_s, high_s = watched.last.low_s, watched.last.high_s
    assert low_s is not None
    assert high_s is not None
    assert high_s - low_s < ASSUMED.high_s - ASSUMED.low_s + 0.05


@pytest.mark.parametrize(("hz", "baud", "bodies"), [
    (1, 4800, short), (1, 9600, plain), (1, 115_200, crowded), (5, 38_400, short), (10, 38_400, short),
    (10, 115_200, plain), (1, 9600, sky_first), (1, 4800, sky_first), (5, 115_200, sky_first),
])  # fmt: skip
def test_rates_and_speeds(hz: int, baud: int, bodies: Callable[[float], list[str]]) -> None:
    for latency_s in (0.06, 0.3):
        assert check(watch(Station(0.2, latency_s, hz, baud, bodies), 70)) > 5


@pytest.mark.parametrize("grid_s", [0.001, 0.016, 0.125])
@pytest.mark.parametrize("hz", [1, 5])
def test_usb_that_hands_bytes_over_at_its_own_times(grid_s: float, hz: int) -> None:
    for latency_s, drift in ((0.1, 0.0), (0.4, 30e-6)):
        station = Station(-0.4, latency_s, hz, 38_400, short, grid_s, drift=drift)
        assert check(watch(station, 70)) > 5


@pytest.mark.parametrize("mean_s", [0.01, 0.1, 0.4])
def test_jitter(mean_s: float) -> None:
    for seed in range(3):
        station = Station(0.3, 0.1, jitter=exponential(mean_s), in_one_piece=True, baud=115_200, seed=seed)
        assert check(watch(station)) > 5


def test_a_network_with_spikes_loses_nothing_but_time() -> None:
    for seed in range(3):
        station = Station(-0.2, 0.15, jitter=spikes(0.1, 1.7), in_one_piece=True, baud=115_200, seed=seed)
        assert check(watch(station, 100)) > 5


def test_a_receiver_that_is_spoken_to_within_the_kernel_s_limits_of_rate() -> None:
    for drift in (-400e-6, 400e-6):
        for latency_s in (0.05, 0.59):
            assert check(watch(Station(0.1, latency_s, drift=drift, baud=115_200, grid_s=0.001), 120)) > 5


def test_a_stated_latency_makes_the_bounds_narrow() -> None:
    watched = watch(Station(0.3, 0.2), stated=stated("0.2"))
    assert check(watched) > 5
    last = watched.last
    assert last.low_s is not None
    assert last.high_s is not None
    assert last.high_s - last.low_s < 0.15
    assert last.verdict is SlotVerdict.YES


# Outside of it: refused, or still true


@pytest.mark.parametrize("buffer", [300, 1200, None])
@pytest.mark.parametrize("known_baud", [True, False])
@pytest.mark.parametrize(("hz", "baud"), [(1, 4800), (1, 9600), (5, 38_400)])
def test_a_line_that_cannot_keep_up_bounds_from_above_alone(
    hz: int, baud: int, known_baud: bool, buffer: int | None
) -> None:
    station = Station(0.2, 0.2, hz, baud, crowded, buffer=buffer, known_baud=known_baud)
    watched = watch(station, 100)
    assert check(watched) == 0
    assert watched.last.at_most_s is not None or watched.last.epochs == 0


def test_a_line_that_is_only_just_too_slow_is_seen_too() -> None:
    full = len(b"".join(data for _, data in Station(bodies=plain).arrivals(1.0)))
    for baud in (full * 10 - 100, full * 10 - 20):
        for known_baud in (True, False):
            watched = watch(Station(0.2, 0.2, 1, baud, plain, known_baud=known_baud), 100)
            assert check(watched) == 0
            assert "line" in watched.last.reasons[0]


def test_a_computer_far_behind_is_bad_for_slot_modes_even_so() -> None:
    watched = watch(Station(-4.0, 0.2, 1, 9600, crowded, buffer=300), 100)
    assert check(watched) == 0
    assert watched.last.verdict is SlotVerdict.NO


# Clocks that are set, and leap seconds


@pytest.mark.parametrize("by_s", [-30.0, -0.3, 0.3, 30.0])
def test_a_computer_s_clock_that_is_set_is_followed_at_once(by_s: float) -> None:
    station = Station(0.2, 0.2, set_at=(80.5, by_s))
    watched = watch(station, 100)
    assert check(watched) > 30
    (jump,) = watched.last.jumps
    assert jump.by_s == pytest.approx(by_s, abs=0.001)


@pytest.mark.parametrize("error_s", [-1.0, 1.0, 2.0, 3.0])
def test_no_claim_after_a_cold_start_while_the_clocks_differ(error_s: float) -> None:
    station = Station(0.1, 0.2, receiver_error_s=lambda _: error_s, void=5)
    watched = watch(station, 100)
    assert check(watched) == 0
    assert watched.last.verdict is SlotVerdict.UNKNOWN
    assert "leap seconds" in watched.last.reasons[0]


@pytest.mark.parametrize("error_s", [1.0, 2.0, 3.0])
@pytest.mark.parametrize("buffer", [300, 1200, 2400])
def test_after_a_cold_start_a_late_line_does_not_make_clocks_agree(error_s: float, buffer: int) -> None:
    station = Station(0.1, 0.2, 1, 9600, crowded, receiver_error_s=lambda _: error_s, void=5, buffer=buffer)
    assert check(watch(station, 100)) == 0


def test_after_a_cold_start_clocks_that_agree_are_believed() -> None:
    watched = watch(Station(0.1, 0.2, void=5), 80)
    assert check(watched) > 5
    assert watched.last.verdict is SlotVerdict.YES


def test_a_computer_that_is_wrong_is_told_so_13_minutes_after_a_cold_start() -> None:
    station = Station(7.5, 0.2, void=5, bodies=short, baud=115_200, grid_s=0.1)
    watched = watch(station, 800)
    assert check(watched) > 5
    told = [report for _, report in watched.reports if report.low_s is not None]
    assert len(told) < 30
    assert watched.last.verdict is SlotVerdict.NO


def test_leap_seconds_that_come_in_mid_session_are_no_claim_before_and_the_truth_after() -> None:
    station = Station(0.1, 0.2, receiver_error_s=lambda t: 2.0 if t < 70 else 0.0, void=5, bodies=short)
    watched = watch(station, 160)
    assert check(watched) > 5
    assert any(jump.by_s == pytest.approx(2.0, abs=0.1) for jump in watched.last.jumps)


def test_whole_seconds_without_a_cold_start_are_stated_with_the_doubt() -> None:
    last = watch(Station(0.0, 0.2, receiver_error_s=lambda _: 2.0)).last
    assert last.low_s is not None
    assert last.verdict is SlotVerdict.UNKNOWN
    assert not last.settable
    assert "whole 2 s" in last.reasons[0]


def ordinary_midnight(second: float) -> list[str]:
    next_day, rest = divmod(second, 86_400)
    return [gga(rest), rmc(rest, "050531" if next_day else "040531")]


def with_a_leap_second(second: float) -> list[str]:
    return [gga(second), rmc(second)] if second < 86_401 else [gga(second - 86_401), rmc(second - 86_401, "050531")]


@pytest.mark.parametrize("offset_s", [0.3, -200.0, 200.0])
def test_over_midnight_nothing_jumps(offset_s: float) -> None:
    watched = watch(Station(offset_s, 0.2, bodies=ordinary_midnight, begins_s=43_200 - 80.0), 160)
    assert check(watched) > 80
    assert watched.last.jumps == ()


def test_a_leap_second_begins_the_filter_anew_and_the_computer_that_slept_through_it_is_a_second_ahead() -> None:
    watched = watch(Station(0.3, 0.2, bodies=with_a_leap_second, begins_s=43_200 - 80.0), 180)
    told = [report for _, report in watched.reports if report.low_s is not None and report.utc is not None]
    before = [report for report in told if report.utc and report.utc.time_ms > 43_200_000]
    after = [report for report in told if report.utc and report.utc.time_ms < 43_200_000]
    assert len(before) > 10
    assert len(after) > 10
    assert all((report.low_s or 9) < 0.3 < (report.high_s or -9) for report in before)
    assert all((report.low_s or 9) < 1.3 < (report.high_s or -9) for report in after)


def any_station(chance: random.Random, seed: int) -> Station:
    in_one_piece = chance.random() < 0.3
    # A tenth of a second of jitter on every few bytes would be a latency beyond what is assumed, most of the time.
    jitter_s = chance.choice((0.001, 0.01, 0.1) if in_one_piece else (0.0001, 0.001, 0.01))
    return Station(
        chance.uniform(-3, 3),
        chance.uniform(0.05, 0.42),
        chance.choice((1, 2, 5, 10)),
        chance.choice((4800, 9600, 38_400, 115_200)),
        chance.choice((short, plain, sky_first, crowded)),
        chance.choice((0.004, 0.016, 0.125)),
        exponential(jitter_s),
        in_one_piece,
        drift=chance.uniform(-100e-6, 100e-6),
        buffer=chance.choice((None, 300, 1200)),
        known_baud=chance.random() < 0.5,
        seed=seed,
    )


def is_within_the_assumption(station: Station) -> bool:
    """A burst that is handed on in one piece is on the line first: with that, the whole latency is below 1.1 s.

    One that takes longer than its period is an overrun, to be refused whatever its latency.
    """
    line_s = len(next(data for _, data in replace(station, in_one_piece=True).arrivals(1.0))) * 10 / station.baud
    return not station.in_one_piece or station.latency_s + line_s < 0.95 or line_s > 1 / station.hz


@pytest.mark.slow
def test_a_thousand_stations_of_all_kinds() -> None:
    chance = random.Random(8)
    stations = [station for seed in range(1000) if is_within_the_assumption(station := any_station(chance, seed))]
    assert len(stations) > 900
    assert sum(check(watch(station, 75)) > 0 for station in stations) > 400


def test_thirty_stations_of_all_kinds() -> None:
    chance = random.Random(5)
    stations = [station for seed in range(30) if is_within_the_assumption(station := any_station(chance, seed))]
    assert sum(check(watch(station, 70)) > 0 for station in stations) > 10
