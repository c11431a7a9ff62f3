"""The list that keeps a track: what is put in comes out, and it takes little room. Points are invented."""

from __future__ import annotations

import pickle
import threading
import tracemalloc
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position, Utc
from core.track_points import TrackPoint, TrackPoints

DAYS = st.none() | st.dates()
POINTS = st.builds(
    TrackPoint,
    st.builds(Position, st.floats(-90, 90), st.floats(-180, 180)),
    st.floats(0, 1e9),
    st.none() | st.builds(Utc, st.integers(0, 86_400_999), DAYS),
    st.none() | st.floats(-1e5, 1e5),
    st.booleans(),
)


@given(st.lists(POINTS, max_size=20))
def test_what_is_put_in_comes_out_again_to_the_last_bit(points: list[TrackPoint]) -> None:
    kept = TrackPoints(points)
    assert list(kept) == kept[:] == points
    assert len(kept) == len(points)
    assert list(pickle.loads(pickle.dumps(kept))) == points


@given(st.lists(POINTS, max_size=12), st.slices(15), st.integers(-15, 15))
def test_it_is_asked_as_a_list_is(points: list[TrackPoint], part: slice, number: int) -> None:
    kept = TrackPoints(points)
    assert kept[part] == points[part]
    if -len(points) <= number < len(points):
        assert kept[number] == points[number]
    else:
        with pytest.raises(IndexError):
            kept[number]


@given(st.lists(POINTS, max_size=12), st.integers(0, 12))
def test_its_beginning_is_a_copy_that_grows_by_itself(points: list[TrackPoint], count: int) -> None:
    kept = TrackPoints(points)
    begin = kept.first(count)
    assert list(begin) == points[:count]
    begin.extend(points)
    assert list(kept) == points
    assert (begin == kept) == (not points[:count])


def point(number: int) -> TrackPoint:
    place = Position(10.5 + number / 1e5, -20.25 - number / 1e5)
    return TrackPoint(place, number + 0.5, Utc(number * 1000, date(2031, 5, 4)), 12.5 + number / 10, number == 0)


def test_a_point_takes_fifty_bytes_and_leaves_nothing_to_the_collector_of_garbage() -> None:
    tracemalloc.start()
    try:
        kept = TrackPoints()
        before = tracemalloc.get_traced_memory()[0]
        for number in range(50_000):
            kept.append(point(number))
        held = tracemalloc.get_traced_memory()[0] - before
    finally:
        tracemalloc.stop()
    assert held / len(kept) < 50.0


def test_who_reads_while_it_grows_finds_whole_points() -> None:
    kept = TrackPoints()
    writer = threading.Thread(target=kept.extend, args=(map(point, range(20_000)),))
    writer.start()
    while writer.is_alive():
        count = len(kept)
        if count:
            assert kept[count - 1] == point(count - 1)
    writer.join()
    assert kept[-1] == point(19_999)
