"""How old each value is: it ages by its own usual interval."""

from __future__ import annotations

import pytest

from core.aged import GONE_AFTER_S, Aged, Freshness
from core.model import FixModel
from tests.build import gga, gsa, rmc
from tests.played import NOON, play, sparse

FRESH, STALE, GONE = Freshness.FRESH, Freshness.STALE, Freshness.GONE


def test_each_value_ages_by_its_own_usual_interval() -> None:
    model = FixModel()
    sparse(model, 21)
    values = model.snapshot().values
    assert values.height is not None
    assert values.speed_mps is not None
    assert values.dops is not None
    assert values.noise is not None
    assert (values.height.value.altitude_m, values.height.at_s, values.height.period_s) == (20.0, 120.0, 5.0)
    assert (values.speed_mps.at_s, values.speed_mps.period_s) == (120.0, 1.0)
    assert (values.dops.period_s, values.noise.period_s) == (5.0, 5.0)


def test_fresh_until_two_were_missed_gone_after_three_or_ten_seconds() -> None:
    model = FixModel()
    sparse(model, 21)
    values = model.snapshot().values
    height, speed = values.height, values.speed_mps
    assert height is not None
    assert speed is not None
    assert [height.freshness(120.0 + age) for age in (0, 10, 10.9, 11.1, 14.9, 15.1)] == [
        FRESH,
        FRESH,
        FRESH,
        STALE,
        STALE,
        GONE,
    ]
    assert [speed.freshness(120.0 + age) for age in (0, 2.1, 2.3, 9.9, 10.1)] == [FRESH, FRESH, STALE, STALE, GONE]


def test_a_clock_that_steps_back_makes_nothing_younger_than_now() -> None:
    assert Aged(1.0, 10.0, 1.0).age_s(5.0) == 0.0
    assert Aged(1.0, 10.0, 1.0).freshness(5.0) is FRESH


@pytest.mark.parametrize(
    ("period_s", "stale_s", "gone_s"), [(0.1, 0.22, GONE_AFTER_S), (1.0, 2.2, GONE_AFTER_S), (5.0, 11.0, 15.0)]
)
def test_freshness(period_s: float, stale_s: float, gone_s: float) -> None:
    aged = Aged("x", 0.0, period_s)
    ages = (stale_s - 0.01, stale_s + 0.01, gone_s - 0.01, gone_s + 0.01)
    assert [aged.freshness(age) for age in ages] == [FRESH, STALE, STALE, GONE]


def test_at_ten_hertz_the_interval_is_a_tenth() -> None:
    model = FixModel()
    for tenth in range(25):
        bodies = [rmc(NOON + tenth / 10)] + ([gga(NOON + tenth / 10)] if tenth % 10 == 0 else [])
        play(model, bodies, tenth / 10)
    values = model.snapshot().values
    assert values.position is not None
    assert values.height is not None
    assert values.position.period_s == pytest.approx(0.1)
    assert values.height.period_s == pytest.approx(1.0)


def test_one_late_line_does_not_change_the_usual_interval() -> None:
    model = FixModel()
    for second, at_s in enumerate((0.0, 1.0, 2.0, 6.0, 7.0)):
        play(model, [rmc(NOON + second)], at_s)
    values = model.snapshot().values
    assert values.position is not None
    assert values.position.period_s == 1.0


def test_a_value_that_came_once_has_the_usual_interval_of_receivers() -> None:
    model = FixModel()
    play(model, [rmc(NOON)], 3.0)
    values = model.snapshot().values
    assert values.position is not None
    assert (values.position.at_s, values.position.period_s) == (3.0, 1.0)
    assert values.height is None
    assert values.heading_deg is None


def test_a_void_epoch_leaves_the_last_values_to_age() -> None:
    model = FixModel()
    play(model, [rmc(NOON), gsa(5)], 0.0)
    play(model, [rmc(NOON + 1, status="V", more="N")], 1.0)
    snapshot = model.snapshot()
    assert snapshot.fix.position is None
    assert snapshot.values.position is not None
    assert snapshot.values.position.at_s == 0.0
    assert snapshot.values.used is not None
    assert snapshot.values.used.value == frozenset()
    assert snapshot.values.mode is not None
    assert str(snapshot.values.mode.value.mode) == "none"
