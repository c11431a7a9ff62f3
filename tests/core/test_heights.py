"""Heights along the way: no height is lost however long the way, and none is made up. Positions are open ocean."""

from __future__ import annotations

from math import isnan, nan

import pytest

from core.fix import Position
from core.heights import MOST_BINS, STEP_M, UNKNOWN, Heights, columns
from core.track_points import TrackPoint, TrackPoints, TrackView
from tests.walks import OCEAN, laid

UP = 50.0


def track(*points: TrackPoint) -> TrackView:
    log = TrackPoints()
    for point in points:
        log.append(point)
    return TrackView(log, len(points))


def at(metres: float, height_m: float | None, *, begins: bool = False) -> TrackPoint:
    return TrackPoint(laid(OCEAN, 90.0, metres), 0.0, None, height_m, begins)


def followed(*points: TrackPoint) -> Heights:
    heights = Heights()
    assert heights.follow(track(*points)) is bool(points)
    return heights


def test_a_hill_is_where_it_was_on_the_way() -> None:
    heights = followed(*(at(10.0 * n, UP if n == 35 else 0.0, begins=n == 0) for n in range(101)))
    assert heights.length_m == pytest.approx(1000.0, abs=0.5)
    found = columns(heights, 10)
    assert [one.high_m for one in found] == [UP if number == 3 else 0.0 for number in range(10)]
    assert all(one.low_m == 0.0 for one in found)


@pytest.mark.parametrize("count", [300, 3000, 9001])
def test_a_long_way_keeps_its_lowest_and_highest_in_a_bounded_number_of_bins(count: int) -> None:
    heights = followed(*(at(6.0 * n, {7: -UP, count - 3: UP}.get(n, 1.0), begins=n == 0) for n in range(count)))
    assert len(heights.bins) <= MOST_BINS
    known = [one for one in heights.bins if not isnan(one.low_m)]
    assert (min(one.low_m for one in known), max(one.high_m for one in known)) == (-UP, UP)
    assert (known[0].first_m, known[-1].last_m) == (1.0, 1.0)


def test_noise_at_rest_is_no_way() -> None:
    near = [at(STEP_M / 2 * (n % 2), 5.0, begins=n == 0) for n in range(1000)]
    assert followed(*near).length_m == 0.0


def test_a_gap_is_no_way_and_breaks_the_line() -> None:
    heights = followed(at(0.0, 1.0, begins=True), at(20.0, 2.0), at(5000.0, 3.0, begins=True), at(5020.0, 4.0))
    assert heights.length_m == pytest.approx(40.0, abs=0.1)
    known = [one for one in heights.bins if not isnan(one.low_m)]
    assert [(one.last_m, one.broken) for one in known] == [(1.0, True), (3.0, True), (4.0, False)], (
        "2 and 3 are one spot of the way"
    )


@pytest.mark.parametrize("height_m", [None, nan, float("inf")])
def test_an_unknown_height_is_left_out_and_breaks_the_line(height_m: float | None) -> None:
    heights = followed(at(0.0, 1.0, begins=True), at(20.0, height_m), at(40.0, 2.0))
    known = [one for one in heights.bins if not isnan(one.low_m)]
    assert [(one.low_m, one.broken) for one in known] == [(1.0, True), (2.0, True)]
    assert heights.newest is not None


def test_what_is_no_place_on_earth_is_passed_over() -> None:
    nowhere = TrackPoint(Position(nan, 0.0), 0.0, None, 9.0, False)
    heights = followed(at(0.0, 1.0, begins=True), nowhere, at(20.0, 2.0))
    assert heights.length_m == pytest.approx(20.0, abs=0.1)
    assert max(one.high_m for one in heights.bins if not isnan(one.high_m)) == 2.0


def test_only_what_is_new_is_taken_and_another_track_begins_anew() -> None:
    first = track(at(0.0, 1.0, begins=True), at(20.0, 2.0))
    heights = Heights()
    assert heights.follow(TrackView(first.points, 1))
    assert heights.follow(first)
    assert not heights.follow(first)
    assert heights.length_m == pytest.approx(20.0, abs=0.1)
    assert heights.follow(track(at(0.0, 7.0, begins=True)))
    assert (heights.length_m, heights.bins[0].low_m) == (0.0, 7.0)
    assert heights.follow(TrackView(first.points, 1)), "cut to less, as after a seek"
    assert heights.bins[0].low_m == 1.0


def test_before_any_way_was_made_there_is_one_column_at_most() -> None:
    assert columns(Heights(), 3) == [UNKNOWN] * 3
    first, *rest = columns(followed(at(0.0, 5.0, begins=True)), 3)
    assert (first.low_m, rest) == (5.0, [UNKNOWN] * 2)
    assert columns(followed(at(0.0, 5.0, begins=True)), 0) == []
