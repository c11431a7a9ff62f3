"""Points of a track: when they are due, where it breaks, and that none pile up."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from core.fix import Position
from core.places.geodesic import way
from core.track import TrackLog, TrackPoint
from core.track_rule import TrackRule
from tests.trips import HARD, STANDING_NOISES, USUAL, shifted, tracked
from tests.walks import ANYWHERE, OCEAN, PACE_MPS, Noise, fix_at, laid, noisy, out_and_back, standing, straight, then

TEN_S, TWENTY_FIVE_M = TrackRule(every_s=10.0), TrackRule(every_m=25.0)
START_S = 8
"""A usual walk is told from wandering after so many seconds at most."""


def points(log: TrackLog) -> list[TrackPoint]:
    view = log.view()
    return list(view.points[: view.count])


def test_by_time() -> None:
    found = points(tracked(straight(OCEAN, 0.0, 600), TrackLog(TEN_S)))
    assert len(found) == 61
    assert {round(b.at_s - a.at_s) for a, b in pairwise(found)} == {10}
    assert [point.begins for point in found] == [True] + [False] * 60


@pytest.mark.parametrize("start", ANYWHERE)
def test_by_distance(start: Position) -> None:
    found = points(tracked(straight(start, 10.0, 600), TrackLog(TWENTY_FIVE_M)))
    steps = [way(a.position, b.position).distance_m for a, b in pairwise(found)]
    assert len(steps) == 33
    assert all(25.0 <= step < 25.0 + PACE_MPS for step in steps)


def test_by_turn() -> None:
    log = TrackLog(TrackRule(turn_deg=30.0))
    corner = laid(OCEAN, 0.0, 280.0)
    tracked(then(straight(OCEAN, 0.0, 199), straight(corner, 90.0, 200)), log)
    first, *turned = points(log)
    assert first.position == OCEAN
    assert len(turned) in {1, 2}
    assert all(way(corner, point.position).distance_m < 25.0 for point in turned)


def test_turning_by_little_steps_counts_as_well() -> None:
    log = TrackLog(TrackRule(turn_deg=45.0))
    bend = [laid(OCEAN, n * math.degrees(PACE_MPS / 100), 100.0) for n in range(450)]
    tracked([step._replace(place=place) for step, place in zip(standing(OCEAN, 449), bend, strict=True)], log)
    assert 7 <= len(points(log)) <= 10  # once round is 360 degrees, told every 10 m


def test_whichever_is_due_first() -> None:
    both = TrackRule(every_s=10.0, every_m=25.0)
    walk = then(straight(OCEAN, 0.0, 200, mps=0.8), straight(laid(OCEAN, 0.0, 160.8), 0.0, 200, mps=5.0))
    found = points(tracked(walk, TrackLog(both)))
    gaps = [(b.at_s - a.at_s, way(a.position, b.position).distance_m) for a, b in pairwise(found[1:])]
    assert found[1].at_s == pytest.approx(18.0 / 0.8, abs=1.0)  # as slow as that, a walk is told from wandering late
    assert all(seconds <= 10.0 and metres < 30.1 for seconds, metres in gaps)
    assert len(found) > 17 + 30


@pytest.mark.parametrize("rule", [TEN_S, TWENTY_FIVE_M, TrackRule(every_m=1.0), TrackRule(1.0, 1.0, 5.0)], ids=str)
@pytest.mark.parametrize("noise", STANDING_NOISES[:3], ids=str)
def test_no_heap_at_rest(rule: TrackRule, noise: Noise) -> None:
    assert len(points(tracked(noisy(standing(OCEAN, 1800), noise, 7), TrackLog(rule)))) == 1


def test_a_rest_on_the_way_adds_its_place_and_no_more() -> None:
    end = laid(OCEAN, 0.0, 300 * PACE_MPS)
    walk = then(straight(OCEAN, 0.0, 299), standing(end, 1800))
    log = tracked(noisy(walk, USUAL, 3), TrackLog(TrackRule(every_m=50.0)))
    found = points(log)
    assert found[-1].at_s < 330.0
    assert way(found[-1].position, end).distance_m < 10.0


def test_reception_that_comes_and_goes_at_rest_makes_no_heap() -> None:
    log = TrackLog(TEN_S)
    for step in noisy(standing(OCEAN, 3600), HARD, 5):
        log.take(fix_at(step), step.at_s, step.at_s % 60 < 20)
    assert len(points(log)) <= 3


def test_none_without_a_usable_fix() -> None:
    log = TrackLog(TEN_S)
    assert all(log.take(fix_at(step), step.at_s, False) is None for step in straight(OCEAN, 0.0, 100))
    assert log.view().count == 0


def test_take_returns_the_point_it_added() -> None:
    log = TrackLog(TEN_S)
    walk = straight(OCEAN, 0.0, 60)
    added = [log.take(fix_at(step)._replace(altitude_m=5.0), step.at_s + 1000.0, True) for step in walk]
    assert [point for point in added if point] == points(log)
    assert points(log)[1] == (walk[10].place, 1010.0, fix_at(walk[10]).utc, 5.0, False)


def test_gaps_and_jumps_break_it() -> None:
    log = TrackLog(TEN_S)
    walk = straight(OCEAN, 0.0, 100)
    leapt = straight(laid(OCEAN, 90.0, 9000.0), 0.0, 100)
    for step in [*walk, *shifted(walk[50:], 300.0), *shifted(leapt, 401.0)]:
        log.take(fix_at(step)._replace(speed_mps=PACE_MPS), step.at_s, True)
    begun = [point.at_s for point in points(log) if point.begins]
    assert begun == [0.0, 350.0, 401.0]


def test_going_on_from_the_place_of_the_gap_begins_when_one_moves() -> None:
    log = TrackLog(TEN_S)
    walk = straight(OCEAN, 0.0, 100)
    after = shifted(then(standing(walk[-1].place, 99), straight(walk[-1].place, 0.0, 100)), 300.0)
    tracked([*walk, *after], log)
    (second,) = [point.at_s for point in points(log)[1:] if point.begins]
    assert 400.0 < second <= 400.0 + START_S


def test_a_view_does_not_grow() -> None:
    log = TrackLog(TEN_S)
    walk = straight(OCEAN, 0.0, 300)
    tracked(walk[:150], log)
    view = log.view()
    before = list(view.points[: view.count])
    tracked(walk[150:], log)
    assert list(view.points[: view.count]) == before
    assert log.view().points is view.points


def test_a_loaded_track_goes_on_with_a_new_segment() -> None:
    first = points(tracked(straight(OCEAN, 0.0, 100), TrackLog(TEN_S)))
    log = TrackLog(TEN_S)
    log.load([point._replace(begins=False) for point in first])
    assert [point.begins for point in points(log)] == [True] + [False] * (len(first) - 1)
    tracked(shifted(straight(laid(OCEAN, 0.0, 400.0), 0.0, 100), 500.0), log)
    assert [point.at_s for point in points(log) if point.begins] == [0.0, 500.0]


def test_a_track_of_nothing_can_be_loaded() -> None:
    log = TrackLog(TEN_S)
    log.load([])
    assert log.view().count == 0


def test_the_turning_point_of_an_out_and_back_walk_is_there() -> None:
    log = TrackLog(TrackRule(every_m=50.0, turn_deg=20.0))
    found = points(tracked(out_and_back(OCEAN, 0.0, 1000), log))
    turn = laid(OCEAN, 0.0, 700.0)
    assert min(way(point.position, turn).distance_m for point in found) < 15.0


def test_at_10_hz_it_is_as_at_1_hz() -> None:
    fast = tracked(straight(OCEAN, 0.0, 300, hz=10), TrackLog(TWENTY_FIVE_M))
    slow = tracked(straight(OCEAN, 0.0, 300), TrackLog(TWENTY_FIVE_M))
    assert abs(fast.view().count - slow.view().count) <= 1
