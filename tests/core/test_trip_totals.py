"""Speeds, legs, resets, and what survives a crash."""

from __future__ import annotations

import json
import math
from itertools import chain, repeat
from typing import Any

import pytest

from core.errors import InputError
from core.fix import Utc
from core.trip import NO_TOTALS, TripMeter
from tests.trips import finished, shifted, sped, void_fix, walk_and_stop, walked
from tests.walks import OCEAN, PACE_MPS, Step, fix_at, laid, standing, straight

NOON_MS = 43_200_000


# Speed


def test_the_fastest_is_what_was_held_for_three_fixes() -> None:
    assert sped([1.0, 2.0, 3.0, 4.0, 3.0, 1.0]).totals().fastest_mps == 3.0


@pytest.mark.parametrize("spike", [[70.0], [70.0, 70.0], [math.nan], [math.inf], [1e300], [-5.0]])
def test_a_spike_is_no_speed(spike: list[float]) -> None:
    assert sped([1.4] * 10 + spike + [1.4] * 10).totals().fastest_mps == 1.4


def test_without_speeds_none_is_known() -> None:
    totals = sped([None] * 600).totals()
    assert totals.fastest_mps is None
    assert totals.average_mps == pytest.approx(PACE_MPS, rel=0.02)


def test_speeds_that_come_every_other_second_count() -> None:
    assert sped([2.0, None] * 10).totals().fastest_mps == 2.0


def test_speeds_of_unusable_epochs_never_count() -> None:
    usable = chain(repeat(True, 20), repeat(False, 5), repeat(True))
    assert sped([1.4] * 20 + [90.0] * 5 + [1.4] * 20, usable).totals().fastest_mps == 1.4


def test_speeds_while_void_never_count() -> None:
    meter = sped([1.4] * 20)
    for second in range(20, 40):
        meter.take(void_fix(second, 218.0), second, False)
    assert meter.totals().fastest_mps == 1.4
    assert sped([90.0] * 9, repeat(False)).totals() == NO_TOTALS


def test_speeds_on_both_sides_of_a_gap_are_no_row() -> None:
    meter = sped([1.0] * 5 + [9.0] * 2)
    step = Step(100.0, laid(OCEAN, 0.0, 500.0))
    meter.take(fix_at(step)._replace(speed_mps=9.0), 100.0, True)
    assert meter.totals().fastest_mps == 1.0


def test_a_moment_of_moving_makes_no_average() -> None:
    assert walked(straight(OCEAN, 0.0, 8)).totals().average_mps is None


# Legs


def test_legs_add_up_to_the_trip() -> None:
    walk = straight(OCEAN, 0.0, 900)
    meter = TripMeter()
    for part in (walk[:300], walk[300:700], walk[700:]):
        walked(part, meter)
        meter.new_leg()
    first, second, third = meter.legs()
    total = meter.totals()
    for name in ("distance_m", "moving_s", "stopped_s", "gap_s"):
        assert sum(getattr(leg, name) for leg in (first, second, third)) == pytest.approx(getattr(total, name))
    assert second.distance_m == pytest.approx(400 * PACE_MPS, abs=9.0)
    assert second.began == Utc(NOON_MS + 299_000, None)
    assert meter.leg_totals().distance_m == 0.0


def test_without_a_key_the_leg_is_the_trip() -> None:
    meter = walked(straight(OCEAN, 0.0, 100))
    assert meter.legs() == ()
    assert meter.leg_totals() == meter.totals()


def test_the_key_pressed_twice_makes_one_leg() -> None:
    meter = walked(straight(OCEAN, 0.0, 100))
    meter.new_leg()
    meter.new_leg()
    assert len(meter.legs()) == 1
    fresh = TripMeter()
    fresh.new_leg()
    assert fresh.legs() == ()


def test_each_leg_has_its_own_fastest() -> None:
    meter = sped([3.0] * 20)
    meter.new_leg()
    for step in straight(laid(OCEAN, 0.0, 28.0), 0.0, 20):
        meter.take(fix_at(step)._replace(speed_mps=1.0), 20.0 + step.at_s, True)
    assert (meter.legs()[0].fastest_mps, meter.leg_totals().fastest_mps, meter.totals().fastest_mps) == (3.0, 1.0, 3.0)


@pytest.mark.parametrize("at", range(0, 60, 3))
def test_no_leg_has_less_than_nothing_whenever_the_key_is_pressed(at: int) -> None:
    """Near starts and stops time is counted over: not from one leg into another."""
    walk = [*standing(OCEAN, 20), *shifted(walk_and_stop(30.0, 30), 21.0)]
    meter = walked(walk[:at])
    meter.new_leg()
    walked(walk[at:], meter)
    for leg in (*meter.legs(), meter.leg_totals()):
        assert min(leg.distance_m, leg.moving_s, leg.stopped_s) >= -1e-9


# Reset


def test_a_reset_begins_anew_and_can_be_undone_without_losing_what_came_since() -> None:
    walk = straight(OCEAN, 0.0, 600)
    meter = walked(walk[:300])
    meter.reset()
    assert meter.totals().distance_m == 0.0
    walked(walk[300:], meter)
    assert meter.totals().distance_m == pytest.approx(300 * PACE_MPS, abs=9.0)
    assert meter.totals().began == Utc(NOON_MS + 300_000, None)
    assert meter.undo_reset()
    assert meter.totals() == walked(walk).totals()
    assert not meter.undo_reset()


def test_legs_on_both_sides_of_a_reset_stand_after_undoing_it() -> None:
    walk = straight(OCEAN, 0.0, 600)
    meter = walked(walk[:100])
    meter.new_leg()
    walked(walk[100:200], meter)
    meter.reset()
    walked(walk[200:400], meter)
    meter.new_leg()
    walked(walk[400:], meter)
    meter.undo_reset()
    first, second = meter.legs()
    assert first.distance_m == pytest.approx(100 * PACE_MPS, abs=9.0)
    assert second.distance_m == pytest.approx(300 * PACE_MPS, abs=9.0)


def test_a_reset_of_nothing_forgets_nothing() -> None:
    """The key pressed twice: the trip is still there to be got back."""
    meter = walked(straight(OCEAN, 0.0, 300))
    meter.reset()
    meter.reset()
    assert meter.undo_reset()
    assert meter.totals().distance_m > 400.0


# State


def through_json(meter: TripMeter) -> TripMeter:
    return TripMeter.restored(json.loads(json.dumps(meter.state(), allow_nan=False)))


def test_a_trip_goes_on_after_a_crash_and_the_time_between_is_a_gap() -> None:
    walk = straight(OCEAN, 0.0, 900)
    meter = walked(walk[:300])
    meter.new_leg()
    walked(walk[300:400], meter)
    again = through_json(meter)
    assert again.begun
    assert again.totals() == meter.totals()
    assert again.legs() == meter.legs()
    walked(walk[500:], again)
    totals = again.totals()
    assert (totals.gaps, totals.gap_s) == (1, 101.0)
    assert totals.distance_m == pytest.approx(799 * PACE_MPS, abs=24.0)


def test_a_reset_can_be_undone_after_a_crash() -> None:
    meter = walked(straight(OCEAN, 0.0, 300))
    meter.reset()
    again = through_json(meter)
    assert again.undo_reset()
    assert again.totals().distance_m == meter.undo_reset() * meter.totals().distance_m


def test_the_gap_under_way_is_not_counted_twice() -> None:
    meter = walked(straight(OCEAN, 0.0, 100))
    for second in range(101, 161):
        meter.take(void_fix(second), second, False)
    again = through_json(meter)
    again.take(fix_at(Step(200.0, OCEAN)), 200.0, True)
    assert (again.totals().gaps, again.totals().gap_s) == (1, 100.0)


def test_an_empty_trip_survives_too() -> None:
    again = through_json(TripMeter())
    assert again.totals() == NO_TOTALS
    assert not again.begun


def damaged(**changes: Any) -> dict[str, Any]:
    meter = walked(straight(OCEAN, 0.0, 300))
    meter.new_leg()
    return {**meter.state(), **changes}


GOOD_SUMS = [1.0, 1.0, 1.0, 0.0, 0, 0, 0.0, 0.0, 0.0, 0.0, False]


@pytest.mark.parametrize(
    "state",
    [
        {},
        damaged(version=99),
        damaged(sums=None),
        damaged(sums="1234567890x"),
        damaged(sums=[math.nan, *GOOD_SUMS[1:]]),
        damaged(sums=[math.inf, *GOOD_SUMS[1:]]),
        damaged(sums=[-1.0, *GOOD_SUMS[1:]]),
        damaged(sums=[True, *GOOD_SUMS[1:]]),
        damaged(sums=[10**400, *GOOD_SUMS[1:]]),
        damaged(sums=GOOD_SUMS[:-1]),
        damaged(sums=[*GOOD_SUMS, 1]),
        damaged(sums=[*GOOD_SUMS[:4], 0.5, *GOOD_SUMS[5:]]),
        damaged(sums=GOOD_SUMS),  # less than its legs
        damaged(legs=[]),
        damaged(legs=None),
        damaged(legs=[{}] * 5),
        damaged(legs=[{"since": GOOD_SUMS, "began": None, "fastest_mps": "fast"}]),
        damaged(legs=damaged()["legs"] * 2000),
        damaged(before=[]),
        damaged(last=[-1, None]),
        damaged(last=[0, "the day before"]),
        damaged(last=[0, 7]),
        damaged(last="ab"),
        damaged(last=[1]),
    ],
    ids=lambda state: str(state)[-60:],
)
def test_a_damaged_state_is_refused_in_words(state: dict[str, Any]) -> None:
    with pytest.raises(InputError, match="begin anew"):
        TripMeter.restored(state)


def test_more_legs_than_anybody_wants_are_one() -> None:
    meter = TripMeter()
    for step in straight(OCEAN, 0.0, 1100):
        meter.take(fix_at(step), step.at_s, True)
        meter.new_leg()
    assert len(meter.legs()) == 999
    assert through_json(meter).totals().moving_s == pytest.approx(meter.totals().moving_s)


def test_finishing_adds_the_last_metres_once() -> None:
    meter = walked(straight(OCEAN, 0.0, 103))
    meter.finish()
    meter.finish()
    assert meter.totals() == finished(straight(OCEAN, 0.0, 103))
    assert meter.totals().distance_m == pytest.approx(103 * PACE_MPS, abs=0.01)
