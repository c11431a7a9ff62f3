"""What the epochs before say about one: jumps, frozen positions, clocks, signals, figures that come seldom."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from core.evidence import (
    HOLD_S,
    NO_PAST,
    NULL_ISLAND_DEG,
    SIGNALS_KEPT_S,
    gather,
)
from core.fix import Fix, FixMode, Position, PseudorangeNoise, Utc
from tests.evidence import ALLOWED_M, LATITUDE, MODEL, TODAY, Epoch, fix, seen, sky, utc

# Jumps


def jumps(*epochs: Epoch) -> list[bool]:
    return [one.jumped_m is not None for one in seen(epochs)]


@pytest.mark.parametrize(("metres", "jumped"), [(ALLOWED_M - 0.5, False), (ALLOWED_M + 0.5, True), (5000.0, True)])
def test_a_step_beyond_error_and_slack_is_a_jump(metres: float, jumped: bool) -> None:
    for away in (fix(metres, speed_mps=0.0), fix(0.0, -metres, speed_mps=0.0)):
        assert jumps((0.0, fix(speed_mps=0.0)), (1.0, away)) == [False, jumped]


@pytest.mark.parametrize(("metres", "jumped"), [(45.0 + ALLOWED_M - 0.5, False), (45.0 + ALLOWED_M + 0.5, True)])
def test_speed_explains_one_and_a_half_times_its_way(metres: float, jumped: bool) -> None:
    """30 m/s for one second, told before, after, or in both epochs."""
    for before, after in ((30.0, 0.0), (0.0, 30.0), (30.0, 30.0)):
        epochs = (0.0, fix(speed_mps=before)), (1.0, fix(metres, speed_mps=after))
        assert jumps(*epochs) == [False, jumped]


def test_how_far_beyond_is_told() -> None:
    found = seen([(0.0, fix(speed_mps=0.0)), (1.0, fix(1000.0, speed_mps=0.0))])[-1]
    assert found.jumped_m == pytest.approx(1000.0 - 2 * 1.730818 * 4.0, abs=1.0)


@pytest.mark.parametrize("mps", [1.4, 30.0, 83.0, 250.0])
@pytest.mark.parametrize("every_s", [0.1, 1.0, 5.0])
@pytest.mark.parametrize("tells_speed", [True, False])
def test_no_vehicle_jumps_by_being_fast(mps: float, every_s: float, tells_speed: bool) -> None:
    """A walker, a car, a train, an airliner; with RMC or with GGA alone, which tells no speed."""
    speed = mps if tells_speed else None
    assert not any(jumps(*((every_s * n, fix(mps * every_s * n, speed_mps=speed)) for n in range(20))))


def test_a_speed_told_every_fifth_second_does_for_the_seconds_between() -> None:
    assert not any(jumps(*((1.0 * n, fix(83.0 * n, speed_mps=None if n % 5 else 83.0)) for n in range(20))))


def test_a_tunnel_is_explained_by_the_speed_before_it() -> None:
    void = [(1.0 * n, Fix()) for n in range(1, 40)]
    assert not any(jumps((0.0, fix(speed_mps=25.0)), *void, (40.0, fix(1000.0, speed_mps=0.0))))


@pytest.mark.parametrize(("gap_s", "jumped"), [(59.0, True), (60.0, False), (600.0, False)])
def test_after_a_long_gap_the_position_may_be_anywhere(gap_s: float, jumped: bool) -> None:
    assert jumps((0.0, fix(speed_mps=0.0)), (gap_s, fix(50_000.0, speed_mps=0.0)))[-1] is jumped


def test_a_gap_is_known_by_the_receivers_clock_too() -> None:
    """The first sentences after a pause may arrive with the last ones before it."""
    before, after = fix(speed_mps=0.0, utc=utc(0)), fix(500.0, speed_mps=0.0, utc=utc(124))
    assert jumps((0.0, before), (1.0, after)) == [False, False]
    assert jumps((0.0, before), (1.0, after._replace(utc=utc(2)))) == [False, True]


def test_over_the_antimeridian_is_no_jump_and_a_jump_there_is_one() -> None:
    def at(longitude: float) -> Fix:
        return fix(speed_mps=5.0)._replace(position=Position(LATITUDE, longitude))

    assert jumps((0.0, at(179.99999)), (1.0, at(-179.99999)), (2.0, at(179.99999))) == [False] * 3
    assert jumps((0.0, at(179.999)), (1.0, at(-179.999))) == [False, True]


def test_a_jump_stays_on_record_for_a_while_and_then_not() -> None:
    after = [(1.0 + second, fix(500.0, speed_mps=0.0)) for second in range(15)]
    found = jumps((0.0, fix(speed_mps=0.0)), *after)
    assert found == [False, *[True] * round(HOLD_S), *[False] * (15 - round(HOLD_S))]


def test_jumping_to_and_fro_is_never_taken_for_a_speed() -> None:
    epochs = [(1.0 * n, fix(1000.0 * (n % 2), speed_mps=None)) for n in range(40)]
    assert jumps(*epochs)[1:] == [True] * 39


def test_the_first_position_and_a_void_epoch_are_no_jump() -> None:
    assert jumps((0.0, Fix()), (1.0, fix(speed_mps=0.0)), (2.0, Fix()), (3.0, Fix())) == [False] * 4


# Frozen positions


def test_a_position_that_stands_still_while_the_speed_does_not() -> None:
    found = seen([(1.0 * n, fix(speed_mps=3.0)) for n in range(13)])
    assert [one.same_place for one in found] == list(range(13))
    assert found[-1].unmoved_m == pytest.approx(36.0)


def test_standing_still_is_not_frozen_and_moving_begins_anew() -> None:
    assert seen([(1.0 * n, fix(speed_mps=0.02)) for n in range(60)])[-1].unmoved_m < 2.0
    moved = seen([*((1.0 * n, fix(speed_mps=3.0)) for n in range(20)), (20.0, fix(3.0, speed_mps=3.0))])[-1]
    assert (moved.same_place, moved.unmoved_m) == (0, 0.0)
    lost = seen([*((1.0 * n, fix(speed_mps=3.0)) for n in range(20)), (20.0, Fix()), (21.0, fix(speed_mps=3.0))])[-1]
    assert lost.same_place <= 1


def test_coarse_sentences_of_a_walker_are_not_frozen() -> None:
    """Two decimals of a minute are steps of 18.5 m: at 10 Hz the same for a hundred epochs."""
    found = seen([(n / 10, fix(18.5 * (n // 132), speed_mps=1.4)) for n in range(300)])
    assert max(one.same_place for one in found) > 100
    assert max(one.unmoved_m for one in found) < 20.0


# The receiver's clock


def back(*times: Utc | None) -> list[bool]:
    return [one.went_back for one in seen((1.0 * n, fix(utc=time)) for n, time in enumerate(times))]


def test_time_going_back_is_on_record_for_a_while() -> None:
    found = back(utc(100), utc(90), *(utc(91 + n) for n in range(12)))
    assert found == [False, *[True] * round(HOLD_S), *[False] * (13 - round(HOLD_S))]


@pytest.mark.parametrize(
    ("step_s", "is_back"), [(1.0, False), (0.0, False), (-1.0, False), (-1.001, True), (-3600, True)]
)
def test_a_second_back_is_not_yet_going_back(step_s: float, is_back: bool) -> None:
    assert back(utc(100), utc(100 + step_s)) == [False, is_back]


def test_midnight_is_not_going_back_with_or_without_a_date() -> None:
    late, early = 86_399_000, 0
    assert back(Utc(late, TODAY), Utc(early, date(2031, 5, 5))) == [False, False]
    assert back(Utc(late, None), Utc(early, None)) == [False, False]


def test_a_date_going_back_is_and_one_that_becomes_known_is_not() -> None:
    assert back(utc(0, date(2031, 5, 4)), utc(1, date(2031, 5, 3))) == [False, True]
    assert back(utc(100, date(1980, 1, 6)), utc(0, TODAY)) == [False, False]
    assert back(utc(100, None), utc(101, TODAY), None, utc(103, None)) == [False] * 4


def test_dates_are_held_against_the_reference() -> None:
    def dated(day: date | None, reference: date | None) -> tuple[bool, date | None]:
        (found,) = seen([(0.0, fix(utc=utc(0, day)))], reference)
        return found.day_is_wrong, found.corrected_day

    assert dated(TODAY, TODAY) == (False, None)
    assert dated(date(2011, 9, 18), TODAY) == (True, TODAY)
    assert dated(date(1980, 1, 6), TODAY) == (True, None)
    assert dated(date(1980, 1, 6), None) == (True, None)
    assert dated(date(2011, 9, 18), None) == (False, None)
    assert dated(None, TODAY) == (False, None)


# The clock that everything is on


def clocks(*epochs: Epoch) -> list[float]:
    return [one.at_s for one in seen(epochs)]


def test_arrival_leads() -> None:
    assert clocks((100.0, fix(utc=utc(0))), (101.2, fix(utc=utc(1))), (110.0, fix())) == [100.0, 101.2, 110.0]


def test_epochs_that_arrive_together_are_told_apart_by_the_receivers_clock() -> None:
    epochs = [(100.0, fix(utc=utc(n / 2))) for n in range(5)]
    assert clocks(*epochs) == [100.0, 100.5, 101.0, 101.5, 102.0]


def test_bursts_do_not_make_time_run_faster() -> None:
    """Five seconds' epochs together, every five seconds, for ten minutes."""
    epochs = [(5.0 * (n // 5), fix(utc=utc(n))) for n in range(600)]
    assert clocks(*epochs)[-1] == pytest.approx(599.0, abs=5.0)


def test_after_a_burst_the_clock_waits_for_the_source_and_never_goes_back() -> None:
    epochs = [*((100.0, fix(utc=utc(n))) for n in range(5)), (101.0, fix(utc=utc(5))), (106.0, fix(utc=utc(6)))]
    assert clocks(*epochs) == [100.0, 101.0, 102.0, 103.0, 104.0, 104.0, 106.0]


def test_a_clock_that_is_set_or_silent_counts_as_the_usual_second() -> None:
    times = [utc(0), utc(7200), utc(7201), utc(100), None, None]
    assert clocks(*((0.0, fix(utc=time)) for time in times)) == [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]


def test_a_source_that_starts_again_starts_its_clock_again() -> None:
    assert clocks((500.0, fix(utc=utc(0))), (2.0, fix(utc=utc(1)))) == [500.0, 2.0]


# 0 N 0 E


@pytest.mark.parametrize(
    ("latitude", "longitude", "is_null"),
    [
        (0.0, 0.0, True),
        (-0.0099, 0.0099, True),
        (NULL_ISLAND_DEG, 0.0, False),
        (0.0, -NULL_ISLAND_DEG, False),
        (0.0, 20.0, False),
        (51.0, 0.0, False),
    ],
)
def test_near_null_and_only_there(latitude: float, longitude: float, is_null: bool) -> None:
    (found,) = seen([(0.0, fix()._replace(position=Position(latitude, longitude)))])
    assert found.at_null_island is is_null


def test_no_position_is_not_at_null() -> None:
    assert not seen([(0.0, Fix())])[0].at_null_island


# What comes seldom


SELDOM: dict[str, Any] = {
    "dimensions": 2,
    "pdop": 3.5,
    "hdop": 2.5,
    "vdop": 2.4,
    "stated_in_fix": 5,
    "noise": PseudorangeNoise(None, None, None, None, 2.0, 3.0, 4.0),
}
BARE = fix()._replace(hdop=None, stated_in_fix=None)


def test_seldom_is_up_to_every_twelfth_second() -> None:
    """Room for a sky or a GSA of every tenth."""
    assert SIGNALS_KEPT_S == 12.0


@pytest.mark.parametrize("name", SELDOM)
@pytest.mark.parametrize(("age_s", "kept"), [(1.0, True), (SIGNALS_KEPT_S, True), (SIGNALS_KEPT_S + 0.1, False)])
def test_a_figure_is_carried_for_twelve_seconds_and_not_longer(name: str, age_s: float, kept: bool) -> None:
    told = BARE._replace(**{name: SELDOM[name]})
    found = seen([(0.0, told), (0.5, BARE), (age_s, BARE)])[-1].fix
    assert getattr(found, name) == (SELDOM[name] if kept else None)


@pytest.mark.parametrize(("age_s", "kept"), [(1.0, True), (SIGNALS_KEPT_S, True), (SIGNALS_KEPT_S + 0.1, False)])
def test_so_are_signals(age_s: float, kept: bool) -> None:
    found = seen([(0.0, fix(heard=sky(44, 43, 42, 41))), (age_s, fix())])[-1]
    assert (found.heard, found.best_four_dbhz) == ((4, 42.5) if kept else (None, None))


def test_each_figure_is_carried_by_itself() -> None:
    """GGA every second with HDOP and count, GSA every fifth with 2D: it is 2D in the seconds between."""
    found = seen([(0.0, fix(dimensions=2, pdop=5.0)), (1.0, fix(hdop=1.2)), (2.0, fix(hdop=1.3))])[-1].fix
    assert (found.dimensions, found.pdop, found.hdop) == (2, 5.0, 1.3)


def test_what_is_told_now_goes_before_what_was() -> None:
    found = seen([(0.0, fix(used=("G01",) * 9, stated_in_fix=9)), (1.0, fix(stated_in_fix=4))])[-1].fix
    assert found.satellites_in_fix == 4
    listed = seen([(0.0, fix(stated_in_fix=9)), (1.0, fix(used=("G01", "G02"), stated_in_fix=None))])[-1].fix
    assert listed.satellites_in_fix == 2


def test_nothing_is_carried_over_a_void_epoch_or_into_one() -> None:
    found = seen([(0.0, BARE._replace(**SELDOM)), (1.0, Fix()), (2.0, BARE)])
    assert found[1].fix == Fix()
    assert found[2].fix == BARE


def test_error_statistics_are_not_carried_into_another_mode() -> None:
    """Centimetres of a fixed solution must not be said of the autonomous one after it."""
    told = BARE._replace(mode=FixMode.RTK_FIXED, noise=PseudorangeNoise(None, None, None, None, 0.01, 0.01, 0.02))
    after = seen([(0.0, told), (1.0, BARE), (2.0, BARE)])
    assert [one.error.horizontal_m is None for one in after] == [False, True, True]


# What has been before


def test_a_fix_once_had_is_remembered_and_only_satellites_make_one() -> None:
    for mode in (FixMode.ESTIMATED, FixMode.MANUAL, FixMode.SIMULATED):
        assert not seen([(0.0, fix(mode=mode)), (1.0, Fix())])[-1].had_fix
    assert [one.had_fix for one in seen([(0.0, Fix()), (1.0, fix()), (2.0, Fix())])] == [False, True, True]


def test_the_past_is_not_changed() -> None:
    before = gather(NO_PAST, fix(heard=sky(40, 41)), 0.0, MODEL)
    copy = before._replace(told=dict(before.told))
    gather(before, fix(900.0, heard=sky(20, 21), dimensions=2), 1.0, MODEL)
    assert before == copy
    assert NO_PAST.told == {}
