"""Several goals one after the other, routes changed under way, and looking ahead without a trace."""

from __future__ import annotations

import threading
from itertools import pairwise

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from core.fix import FixMode, Position
from core.going import NOT_GOING, Goal, Going, Route
from core.navigator import Navigator
from tests import walks
from tests.walks import ANYWHERE, OCEAN, PACE_MPS, Epoch, Noise, Step, beside, epochs, laid, noisy, void


def gone(walk: list[Epoch], route: Route) -> list[Going]:
    navigator = Navigator()
    navigator.route = route
    return [navigator.take(*one) for one in walk]


def along(*corners: Position, mps: float = PACE_MPS) -> list[Step]:
    """From corner to corner, a step a second on each leg."""
    legs = []
    for start, end in pairwise(corners):
        line = Geodesic.WGS84.Inverse(*start, *end)
        legs.append(walks.straight(start, line["azi1"], line["s12"] / mps, mps=mps))
    return walks.then(*legs)


def named(*places: Position, start: Position | None = None) -> Route:
    return Route(tuple(Goal(name, place) for name, place in zip("ABCDEFGH", places, strict=False)), start)


@pytest.mark.parametrize("start", ANYWHERE)
def test_three_goals_are_reached_one_after_the_other(start: Position) -> None:
    a = laid(start, 30.0, 150.0)
    b = laid(a, 120.0, 150.0)
    c = laid(b, 210.0, 150.0)
    found = gone(epochs(along(start, a, b, c)), named(a, b, c, start=start))
    assert [one.leg for one in found] == sorted(one.leg for one in found)
    assert (found[-1].leg, found[-1].arrived, found[-1].passed) == (2, True, ("A", "B", "C"))
    assert {one.leg: one.leg_start for one in found} == {0: start, 1: a, 2: b}
    assert {one.passed for one in found} == {(), ("A",), ("A", "B"), ("A", "B", "C")}
    assert not any(one.arrived for one in found if one.leg < 2)


def test_the_next_leg_begins_at_the_third_fix_inside_and_closing_begins_anew() -> None:
    a, b = laid(OCEAN, 30.0, 100.0), laid(OCEAN, 30.0, 400.0)
    found = gone(epochs(along(OCEAN, b)), named(a, b))
    first = next(n for n, one in enumerate(found) if one.leg == 1)
    assert 80.0 + 2 * PACE_MPS <= first * PACE_MPS < 80.0 + 3 * PACE_MPS  # 20 m before A, and two fixes more
    assert found[first - 1].closing_mps is not None
    assert [one.closing_mps for one in found[first : first + 10]] == [None] * 10
    assert found[first + 10].closing_mps == pytest.approx(PACE_MPS, abs=1e-6)
    assert found[first].along_track_m == pytest.approx(first * PACE_MPS - 100.0, abs=1e-3)


@pytest.mark.parametrize(("right_m", "passes"), [(45.0, True), (-59.0, True), (61.0, False), (-200.0, False)])
def test_passing_abeam_within_three_radii_counts(right_m: float, passes: bool) -> None:
    """Parallel to the leg at that distance; the radius is 20 m."""
    a, b = laid(OCEAN, 30.0, 200.0), laid(OCEAN, 30.0, 900.0)
    walk = [Step(float(n), beside(OCEAN, 30.0, n * PACE_MPS, right_m)) for n in range(200)]
    found = gone(epochs(walk), named(a, b, start=OCEAN))
    assert (found[-1].leg, found[-1].passed) == ((1, ("A",)) if passes else (0, ()))
    if passes:
        first = next(n for n, one in enumerate(found) if one.leg == 1)
        assert 200.0 + 2 * PACE_MPS < first * PACE_MPS <= 200.0 + 3 * PACE_MPS


def test_the_last_goal_is_not_reached_by_passing_it() -> None:
    walk = [Step(float(n), beside(OCEAN, 30.0, n * PACE_MPS, 45.0)) for n in range(200)]
    found = gone(epochs(walk), named(laid(OCEAN, 30.0, 150.0), start=OCEAN))
    assert not any(one.arrived or one.passed for one in found)


def test_a_goal_that_was_never_ahead_is_not_passed() -> None:
    """Who starts beyond the first goal has not been there."""
    walk = [Step(float(n), beside(OCEAN, 30.0, 300.0 + n * PACE_MPS, 10.0)) for n in range(60)]
    found = gone(epochs(walk), named(laid(OCEAN, 30.0, 200.0), laid(OCEAN, 30.0, 900.0), start=OCEAN))
    assert {(one.leg, one.passed) for one in found} == {(0, ())}


def test_out_and_back_over_the_same_ground_turns_at_the_far_goal() -> None:
    """Home is the last goal, and near at the beginning: it must not be taken for reached."""
    far = laid(OCEAN, 30.0, 120.0)
    found = gone(epochs(along(OCEAN, far, OCEAN)), named(far, OCEAN, start=OCEAN))
    assert (found[40].leg, found[40].arrived) == (0, False)
    assert (found[100].leg, found[100].arrived) == (1, False)
    assert (found[-1].leg, found[-1].arrived) == (1, True)


@pytest.mark.parametrize("mps", [PACE_MPS, 8.0, 25.0])
def test_goals_closer_than_the_steps_do_not_fall_behind(mps: float) -> None:
    """A way back of a vertex each 8 m, gone at any speed: three fixes late at most, and 20 m early."""
    goals = tuple(Goal(str(n), laid(OCEAN, 30.0, 8.0 * n)) for n in range(1, 100))
    walk = walks.straight(OCEAN, 30.0, 760.0 / mps, mps=mps)
    for step, one in zip(walk, gone(epochs(walk), Route(goals)), strict=True):
        assert -3 * mps - 8.0 <= 8.0 * (one.leg + 1) - step.at_s * mps <= 20.0 + 8.0
        assert one.passed == tuple(goal.name for goal in goals[: one.leg])


def test_setting_out_fast_from_the_first_goal_leaves_none_behind() -> None:
    """Three seconds at A, which is the start; then the next goals lie between two fixes and are never seen ahead."""
    goals = tuple(Goal(str(n), laid(OCEAN, 30.0, 8.0 * n)) for n in range(80))
    walk = walks.then(walks.standing(OCEAN, 2), walks.straight(laid(OCEAN, 30.0, 25.0), 30.0, 20, mps=25.0))
    assert gone(epochs(walk), Route(goals, OCEAN))[-1].leg >= (525 - 3 * 25) / 8


def test_the_same_goal_twice_is_reached_twice() -> None:
    a = laid(OCEAN, 30.0, 60.0)
    assert gone(epochs(along(OCEAN, a)), named(a, a))[-1].passed == ("A", "B")


@pytest.mark.parametrize("seed", range(3))
def test_noise_loses_no_goal(seed: int) -> None:
    a = laid(OCEAN, 30.0, 150.0)
    b = laid(a, 120.0, 150.0)
    walk = noisy(along(OCEAN, a, b), Noise(3.0), seed)
    assert gone(epochs(walk, error_95_m=7.3), named(a, b))[-1].passed == ("A", "B")


# A route changed under way


def test_a_new_route_begins_anew_at_the_next_epoch() -> None:
    first, second = named(laid(OCEAN, 30.0, 500.0)), named(laid(OCEAN, 300.0, 500.0))
    navigator = Navigator()
    navigator.route = first
    walk = epochs(walks.straight(OCEAN, 30.0, 60))
    assert [navigator.take(*one) for one in walk[:40]][-1].eta_s is not None
    assigned = threading.Thread(target=setattr, args=(navigator, "route", second))
    assigned.start()
    assigned.join()
    after = navigator.take(*walk[40])
    assert (after.route, after.leg_start, after.closing_mps, after.eta_s) == (second, walk[40][0].position, None, None)
    navigator.route = None
    assert navigator.take(*walk[41]) is NOT_GOING
    navigator.route = second
    assert navigator.take(*walk[42]).leg_start == walk[42][0].position


def test_a_route_assigned_again_and_again_by_another_thread_never_mixes() -> None:
    """Each Going belongs to one of the routes as a whole, whenever the assignment falls."""
    routes = [named(laid(OCEAN, bearing, 500.0), start=laid(OCEAN, bearing, -50.0)) for bearing in (0.0, 120.0, 240.0)]
    starts = {id(route): route.start for route in routes}
    navigator = Navigator()
    navigator.route = routes[0]
    done = threading.Event()

    def assign() -> None:
        while not done.is_set():
            for route in routes:
                navigator.route = route

    thread = threading.Thread(target=assign)
    thread.start()
    try:
        found = [navigator.take(*one) for one in epochs(walks.straight(OCEAN, 30.0, 300))]
    finally:
        done.set()
        thread.join()
    assert all(one.leg_start == starts[id(one.route)] for one in found)


# Looking ahead

ROUTE = named(laid(OCEAN, 30.0, 40.0), laid(OCEAN, 30.0, 90.0), laid(OCEAN, 120.0, 90.0))
PLACES = st.builds(beside, st.just(OCEAN), st.just(30.0), st.floats(-20, 120), st.floats(-40, 40))
STEPS = st.builds(Step, st.floats(0, 100).map(lambda s: round(s, 1)), PLACES)
EPOCHS = st.lists(
    st.one_of(
        STEPS.map(lambda step: epochs([step], error_95_m=5.0)[0]),
        STEPS.map(lambda step: epochs([step], mode=FixMode.ESTIMATED)[0]),
        st.floats(0, 100).map(void),
    ),
    max_size=12,
)


@settings(max_examples=60, deadline=None)
@given(EPOCHS, EPOCHS, st.booleans())
def test_looking_ahead_leaves_no_trace_and_sees_what_will_be(past: list[Epoch], open_: list[Epoch], new: bool) -> None:
    looked, plain = Navigator(), Navigator()
    for navigator in (looked, plain):
        navigator.route = ROUTE
        for one in sorted(past, key=lambda epoch: epoch[1]):
            navigator.take(*one)
        if new:
            navigator.route = Route(ROUTE.goals, OCEAN)
    looked.route = plain.route
    ahead = looked.look_ahead(open_)
    assert looked.look_ahead(open_) == ahead
    assert looked.look_ahead([]) == plain.look_ahead([])
    taken = [(looked.take(*one), plain.take(*one)) for one in open_]
    assert all(a == b for a, b in taken)
    assert not taken or taken[-1][0] == ahead
