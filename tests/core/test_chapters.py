"""Chapters on the time axis: which one is under way, which comes next, where going back leads."""

from __future__ import annotations

import pytest

from core.chapter_file import Entry, When
from core.chapter_times import Placed, chapters_of, in_order, place_for, placed
from core.chapters import NO_CHAPTERS, Chapter, Chapters

A, B, C = Chapter(10.0, "a"), Chapter(20.0, "b"), Chapter(60.0, "c")
THREE = Chapters((A, B, C))
HOUR_MS, DAY_S = 3_600_000, 86_400.0


@pytest.mark.parametrize(
    ("at_s", "now", "after", "before"),
    [
        (0.0, None, A, None),
        (9.9, None, A, None),
        (10.0, A, B, None),
        (12.0, A, B, None),
        (12.1, A, B, A),
        (20.0, B, C, A),
        (22.0, B, C, A),
        (22.1, B, C, B),
        (60.0, C, None, B),
        (1e9, C, None, C),
    ],
)
def test_now_next_and_back(at_s: float, now: Chapter | None, after: Chapter | None, before: Chapter | None) -> None:
    assert (THREE.at(at_s), THREE.after(at_s), THREE.before(at_s)) == (now, after, before)


def test_at_a_fast_pace_going_back_twice_takes_longer() -> None:
    assert THREE.before(50.0, again_s=40.0) is A
    assert THREE.before(61.0, again_s=0.5) is C


def test_two_at_one_moment_do_not_hold_going_back_up() -> None:
    twice = Chapters((A, Chapter(20.0, "x"), B))
    assert twice.at(20.0) is B
    assert twice.before(20.0) is A


def test_where_there_are_none_there_is_nowhere_to_go() -> None:
    assert (NO_CHAPTERS.at(5.0), NO_CHAPTERS.after(5.0), NO_CHAPTERS.before(5.0)) == (None, None, None)


# Times of day: a recording from 23:00 on, three days long, known up to `known_s`


def finder(known_s: float = 3 * DAY_S) -> object:
    def find(time_ms: int, after_s: float) -> float | None:
        first = (time_ms / 1000 - 23 * 3600) % DAY_S
        moments = (first + day * DAY_S for day in range(3))
        return next((one for one in moments if after_s <= one <= known_s), None)

    return find


def at(hour: int) -> Entry:
    return Entry(When(time_ms=hour * HOUR_MS), f"{hour} o'clock")


def moments(*entries: Entry, known_s: float = 3 * DAY_S, is_whole: bool = True) -> list[float | None]:
    find = finder(known_s)
    assert callable(find)
    return [one.at_s for one in placed(entries, find, is_whole=is_whole)]


def test_a_time_of_day_is_the_first_after_the_chapter_above() -> None:
    later = Entry(When(at_s=DAY_S), "a day later")
    assert moments(at(23), at(1), at(22), at(1)) == [0.0, 7200.0, 82_800.0, 7200.0 + DAY_S]
    assert moments(later, at(1)) == [DAY_S, DAY_S + 7200.0]


def test_a_file_out_of_order_is_looked_through_from_the_start_once_all_is_known() -> None:
    last = Entry(When(at_s=3 * DAY_S - 60), "near the end")
    assert moments(last, at(1)) == [3 * DAY_S - 60, 7200.0]
    assert moments(last, at(1), is_whole=False)[1] is None


def test_what_is_not_read_yet_has_no_moment_and_is_no_chapter() -> None:
    found = [Placed(at(1), None), Placed(at(2), 50.0), Placed(at(3), 20.0)]
    assert [one.entry.title for one in in_order(found)] == ["3 o'clock", "2 o'clock", "1 o'clock"]
    assert [one.title for one in chapters_of(found).items] == ["3 o'clock", "2 o'clock"]
    assert moments(at(1), known_s=3600.0) == [None]


def test_a_new_one_goes_before_the_first_that_comes_later() -> None:
    found = [Placed(at(1), 10.0), Placed(at(2), None), Placed(at(3), 30.0)]
    assert [place_for(found, at_s) for at_s in (5.0, 10.0, 20.0, 30.0, 31.0)] == [0, 2, 2, 3, 3]
