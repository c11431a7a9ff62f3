"""What breaks the windows, and what does not: gaps, jumps, clocks, and ten fixes a second."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.fix import MS_PER_DAY, FixMode, Utc
from core.going import Goal, Going, Route
from core.navigator import Navigator
from tests import walks
from tests.walks import OCEAN, PACE_MPS, Epoch, Step, epochs, laid, void

GOAL = laid(OCEAN, 30.0, 1000.0)
WALK = epochs(walks.straight(OCEAN, 30.0, 200))
"""Two hundred seconds towards the goal."""


def gone(walk: list[Epoch]) -> list[Going]:
    navigator = Navigator()
    navigator.route = Route((Goal("Mark", GOAL),), OCEAN)
    return [navigator.take(*one) for one in walk]


def is_anew(going: Going) -> bool:
    return going.closing_mps is None and going.track_course_deg is None and going.straight_m == 0.0


def goes_on(going: Going) -> bool:
    return going.closing_mps == pytest.approx(PACE_MPS, abs=1e-6) and going.track_course_deg is not None


@pytest.mark.parametrize(("gap_s", "bridged"), [(5, True), (10, True), (11, False), (60, False)])
def test_silence_of_more_than_ten_seconds_is_not_bridged(gap_s: int, bridged: bool) -> None:
    found = gone(WALK[:60] + WALK[59 + gap_s :])
    assert goes_on(found[59])
    assert (goes_on if bridged else is_anew)(found[60])
    assert found[60].along_track_m == pytest.approx((59 + gap_s) * PACE_MPS, abs=1e-3)


@pytest.mark.parametrize("lost", [void, lambda at_s: epochs([Step(at_s, GOAL)], mode=FixMode.ESTIMATED)[0]])
@pytest.mark.parametrize(("seconds", "bridged"), [(4, True), (5, False), (8, False)])
def test_a_lost_fix_of_more_than_five_is_not(lost: object, seconds: int, bridged: bool) -> None:
    """`seconds` epochs without a satellite fix: from the last to the next is one more."""
    assert callable(lost)
    found = gone(WALK[:60] + [lost(60.0 + n) for n in range(seconds)] + WALK[60 + seconds :])
    assert (goes_on if bridged else is_anew)(found[60 + seconds])
    assert found[60].along_track_m == found[59].along_track_m  # estimated places move nothing


def test_a_fix_lost_for_long_shows_no_speed_any_more() -> None:
    found = gone(WALK[:60] + [void(60.0 + n) for n in range(8)])
    assert goes_on(found[64])
    assert is_anew(found[65])
    assert (found[65].eta_s, found[65].along_track_m) == (None, found[59].along_track_m)


def test_a_jump_begins_the_windows_anew() -> None:
    """40 m aside within a second of a walk, and going on from there."""
    walk = [Step(float(n), walks.beside(OCEAN, 30.0, n * PACE_MPS, 40.0 if n >= 60 else 0.0)) for n in range(100)]
    found = gone(epochs(walk))
    assert goes_on(found[59])
    assert is_anew(found[60])
    assert found[60].cross_track_m == pytest.approx(40.0, abs=1e-3)
    assert found[75].closing_mps is not None


def test_a_speed_that_explains_it_makes_it_no_jump() -> None:
    fast = epochs(walks.straight(OCEAN, 30.0, 20, mps=40.0))
    told = [(fix._replace(speed_mps=40.0), at_s, error) for fix, at_s, error in fast]
    assert gone(told)[-1].closing_mps == pytest.approx(40.0, abs=1e-6)


def test_after_a_jump_into_the_circle_three_fixes_are_needed_all_the_same() -> None:
    walk = [Step(float(n), GOAL if n in {10, 12, 14, 15, 16, 17} else OCEAN) for n in range(18)]
    assert [one.arrived for one in gone(epochs(walk))] == [False] * 16 + [True] * 2


def test_time_going_back_begins_anew() -> None:
    assert is_anew(gone(WALK[:60] + WALK[40:42])[60])
    fix, at_s, error = WALK[60]
    set_back = (fix._replace(utc=Utc(0, None)), at_s, error)
    assert is_anew(gone([*WALK[:60], set_back])[60])


def test_a_burst_after_a_stall_is_no_sprint() -> None:
    """Five epochs arrive together: the receiver's own time says when they were."""
    late = [(fix, 65.0 if 60 <= at_s <= 65 else at_s, error) for fix, at_s, error in WALK]
    assert [one.closing_mps for one in gone(late)] == [one.closing_mps for one in gone(WALK)]


def test_a_whole_recording_read_at_once_is_the_same() -> None:
    assert gone([(fix, 0.0, error) for fix, _, error in WALK])[-1].eta_s == gone(WALK)[-1].eta_s


@pytest.mark.parametrize("utc", [None, Utc(0, None)], ids=["none", "standing"])
def test_without_a_time_or_with_one_that_stands_the_arrivals_serve(utc: Utc | None) -> None:
    untimed = [(fix._replace(utc=utc), at_s, error) for fix, at_s, error in WALK]
    assert [one.closing_mps for one in gone(untimed)] == [one.closing_mps for one in gone(WALK)]


def test_midnight_is_no_obstacle() -> None:
    late = [
        (fix._replace(utc=Utc((MS_PER_DAY - 50_000 + round(at_s * 1000)) % MS_PER_DAY, None)), at_s, error)
        for fix, at_s, error in WALK
    ]
    assert [one.eta_s for one in gone(late)] == [one.eta_s for one in gone(WALK)]


@pytest.mark.parametrize("hz", [2, 5, 10])
def test_many_fixes_a_second_are_as_one(hz: int) -> None:
    """The same Going each full second, and in between the last one."""
    found = gone(epochs(walks.straight(OCEAN, 30.0, 90, hz=hz)))
    slow = gone(WALK[:91])
    for fast, one in zip(found[::hz], slow, strict=True):
        assert fast.closing_mps == (one.closing_mps if one.closing_mps is None else pytest.approx(one.closing_mps))
        assert fast.eta_s == (one.eta_s if one.eta_s is None else pytest.approx(one.eta_s))
        assert replace(fast, closing_mps=None, eta_s=None, route=None).arrived == one.arrived
        assert fast.straight_m == pytest.approx(one.straight_m)
    assert all(found[n] is found[n - n % hz] for n in range(len(found)))


def test_ten_a_second_arrive_as_late_as_one_a_second() -> None:
    """Three fixes in three tenths of a second are one fix, not three."""
    near = walks.straight(laid(GOAL, 30.0, -5.0), 30.0, 5, mps=0.5, hz=10)
    assert [one.arrived for one in gone(epochs(near))].index(True) == 20


def test_a_receiver_that_sends_every_twenty_seconds_can_arrive() -> None:
    """No windows, since nothing is known of the way between; but three fixes in a row are three."""
    found = gone(epochs([Step(n * 20.0, laid(GOAL, 0.0, 5.0)) for n in range(4)]))
    assert [one.arrived for one in found] == [False, False, True, True]
    assert all(is_anew(one) for one in found)
