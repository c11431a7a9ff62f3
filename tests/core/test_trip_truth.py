"""The trip of the bundled replays against their truth, which the scenario or the program that made them knows.

Positions and speeds are measured in two ways, and between tall houses they contradict each other. The way may not be
longer than the speed allows; where positions are good nothing of it may be lost.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from datetime import datetime
from importlib.resources import as_file
from itertools import accumulate, islice, pairwise
from typing import NamedTuple

import pytest

import replays
from core.epochs import Epoch, EpochReader
from core.rehearsal.path import truth_at
from core.rehearsal.scenario import read_scenario
from core.sources.recording import open_recording
from core.told_way import FROZEN_MPS, LONGEST_STEP_S
from core.trip import Totals, TripMeter
from replays._walk import walk
from replays.make_first_walk import SWITCHED_ON
from tests.walks import OCEAN, PACE_MPS, Step, fix_at, laid, straight

Speed = Callable[[float], float]
"""The true one, metres a second, so many seconds after the start."""


class Counted(NamedTuple):
    """A trip, and how long it truly was where it was counted."""

    totals: Totals
    true_m: float


def truth_of(name: str) -> tuple[datetime, Speed]:
    """When a bundled replay starts, and how fast it truly is."""
    if name == "first_walk":
        moments = [(one.east_m, one.north_m) for one in walk()]
        return SWITCHED_ON, lambda at_s: math.dist(moments[math.floor(at_s)], moments[math.floor(at_s) + 1])
    with as_file(replays.path(name)) as path:
        scenario = read_scenario(path.with_name(f"{name}.toml").read_text("utf-8"), name)
    return scenario.start, lambda at_s: truth_at(scenario, at_s).speed_mps


def epochs_of(name: str, until_s: int | None = None) -> Iterator[Epoch]:
    """Those of a bundled replay, one a second, up to a moment."""
    with as_file(replays.path(name)) as path:
        yield from islice(EpochReader(open_recording(path), required=False).epochs(), until_s)


def counted(name: str, until_s: int | None = None) -> Counted:
    """The trip of a bundled replay, up to a moment."""
    meter, (start, speed) = TripMeter(), truth_of(name)
    true_m, before_s = 0.0, -math.inf
    for fix, at_s, trust, view in epochs_of(name, until_s):
        usable = Epoch(fix, at_s, trust, view).usable
        meter.take(fix, at_s, usable)
        moment = fix.utc.datetime() if usable and fix.utc else None
        if moment is None:
            continue
        now_s = (moment.replace(tzinfo=start.tzinfo) - start).total_seconds()
        if now_s - before_s <= 10.0:  # beyond that it is a gap, and not counted
            true_m += speed((before_s + now_s) / 2) * (now_s - before_s)
        before_s = now_s
    meter.finish()
    return Counted(meter.totals(), true_m)


@pytest.mark.parametrize(
    ("name", "off_m"),
    [("first_walk", 10.0), ("ridge_walk", 20.0), ("ferry", 10.0), ("under_trees", 15.0), ("rtk_arrives", 20.0)],
)
def test_where_positions_are_good_the_way_is_the_true_one(name: str, off_m: float) -> None:
    """Off by what cut corners, and the seconds until a walk is told from standing, cost; as without the bound."""
    found = counted(name)
    assert found.totals.distance_m == pytest.approx(found.true_m, abs=off_m)


def test_four_hours_on_one_spot_are_no_way() -> None:
    assert counted("four_hours").totals.distance_m == 0.0


def test_between_tall_houses_the_way_is_not_half_as_long_again() -> None:
    """Positions alone made 878 m of 592."""
    found = counted("tall_houses")
    assert found.true_m == pytest.approx(592.0, abs=2.0)
    assert found.totals.distance_m < 1.16 * found.true_m


@pytest.mark.parametrize("until_s", [300, 600, 900])
def test_between_tall_houses_the_average_is_not_above_the_fastest(until_s: int) -> None:
    """By positions alone it was by half a metre a second. As they are read: to a tenth."""
    totals = counted("tall_houses", until_s).totals
    assert totals.average_mps is not None
    assert totals.fastest_mps is not None
    assert totals.average_mps < totals.fastest_mps + 0.05


def told(steps: list[Step], speeds: list[float | None]) -> float:
    """How long the trip is with these speeds told."""
    meter = TripMeter()
    for step, mps in zip(steps, speeds, strict=True):
        meter.take(fix_at(step)._replace(speed_mps=mps), step.at_s, True)
    meter.finish()
    return meter.totals().distance_m


def test_positions_that_run_ahead_of_the_speed_count_as_far_as_that() -> None:
    steps = straight(OCEAN, 0.0, 300, mps=2.0)
    assert told(steps, [1.0] * len(steps)) == pytest.approx(1.1 * 300.0, abs=10.0)


def test_a_speed_above_the_way_adds_nothing() -> None:
    steps = straight(OCEAN, 0.0, 300)
    assert told(steps, [3.0] * len(steps)) == pytest.approx(300 * PACE_MPS, abs=1.0)


@pytest.mark.parametrize("mps", [None, 0.0, FROZEN_MPS - 0.01, -1.0, math.nan, 1e9])
def test_a_speed_that_says_nothing_bounds_nothing(mps: float | None) -> None:
    steps = straight(OCEAN, 0.0, 300)
    assert told(steps, [mps] * len(steps)) == pytest.approx(300 * PACE_MPS, abs=1.0)


def test_speeds_told_more_seldom_than_places_bound_nothing() -> None:
    steps = straight(OCEAN, 0.0, 300, mps=2.0)
    speeds = [1.0 if number % 5 == 0 else None for number in range(len(steps))]
    assert told(steps, speeds) == pytest.approx(600.0, abs=1.0)


def test_speeds_with_too_long_between_them_bound_nothing() -> None:
    every = int(LONGEST_STEP_S) + 1
    steps = straight(OCEAN, 0.0, 300, mps=2.0)[::every]
    assert told(steps, [1.0] * len(steps)) == pytest.approx(600.0, abs=1.0)


def test_a_car_in_a_town_loses_nothing_by_a_speed_that_lags() -> None:
    """Every minute from rest to 15 m/s and back, told through a filter of a second."""
    true = [min(15.0, 3.0 * (n % 60), max(0.0, 3.0 * (35 - n % 60))) for n in range(600)]
    ways = [0.0, *accumulate((a + b) / 2 for a, b in pairwise(true))]
    filtered = list(accumulate(true, lambda late, now: late + (1 - math.exp(-1.0)) * (now - late)))
    steps = [Step(float(n), laid(OCEAN, 30.0, way)) for n, way in enumerate(ways)]
    assert told(steps, list(filtered)) == pytest.approx(ways[-1], rel=0.002)
