"""Arrival: both errors count, three fixes in a row, and no flicker at the edge."""

from __future__ import annotations

import math

import pytest

from core.arrival import Circle
from core.going import Goal, Going, Route
from core.navigator import Navigator
from tests import walks
from tests.walks import OCEAN, Noise, Step, epochs, laid, noisy, standing, void

NAN, INF = math.nan, math.inf


def at(*metres: float) -> list[Step]:
    """A place a second, so far north of the goal."""
    return [Step(float(n), laid(OCEAN, 0.0, one)) for n, one in enumerate(metres)]


def gone(walk: list[walks.Epoch], goal_error_m: float | None = None) -> list[Going]:
    navigator = Navigator()
    navigator.route = Route((Goal("Mark", OCEAN, goal_error_m),), laid(OCEAN, 0.0, 500.0))
    return [navigator.take(*one) for one in walk]


def arrivals(*metres: float, error_95_m: float | None = None) -> str:
    return "".join("y" if one.arrived else "-" for one in gone(epochs(at(*metres), error_95_m=error_95_m)))


@pytest.mark.parametrize(
    ("goal", "here", "radius"),
    [
        (None, None, 20.0), (3.0, 4.0, 20.0), (9.0, 12.0, 30.0), (None, 12.0, 24.0), (12.0, None, 24.0),
        (0.0, 11.0, 22.0), (30.0, 40.0, 100.0),
    ],
)  # fmt: skip
def test_the_radius_is_made_of_both_errors(goal: float | None, here: float | None, radius: float) -> None:
    """max(20, 2 hypot): 3-4-5 triangles worked out by hand."""
    assert Circle(goal, here).radius_m == radius
    (found,) = gone(epochs(at(400.0), error_95_m=here), goal)
    assert (found.radius_m, found.goal_error_m, found.here_error_m) == (radius, goal, here)


@pytest.mark.parametrize("figure", [NAN, INF, -1.0])
def test_an_error_that_is_none_is_unknown(figure: float) -> None:
    (found,) = gone(epochs(at(400.0), error_95_m=figure), figure)
    assert (found.radius_m, found.goal_error_m, found.here_error_m) == (20.0, None, None)


def test_three_fixes_in_a_row_inside() -> None:
    assert arrivals(25, 19.9, 19.9, 19.9) == "---y"
    assert arrivals(19.9, 19.9, 20.1, 19.9, 19.9, 19.9) == "-----y"


def test_left_again_only_half_a_radius_beyond() -> None:
    assert arrivals(5, 5, 5, 25, 29.9, 25, 30.1, 25, 19, 19, 19) == "--yyyy----y"


def test_a_coarser_position_arrives_farther_out() -> None:
    assert arrivals(29, 29, 29, error_95_m=15.0) == "--y"
    assert arrivals(31, 31, 31, error_95_m=15.0) == "---"


def test_too_coarse_to_tell_is_not_claimed() -> None:
    """50 m is told, more is not: 40 and 30 make 50 by hand."""
    assert [one.too_coarse for one in gone(epochs(at(5), error_95_m=30.0), 40.0)] == [False]
    found = gone(epochs(at(5, 5, 5, 5), error_95_m=30.1), 40.0)
    assert [(one.too_coarse, one.arrived) for one in found] == [(True, False)] * 4


def test_a_position_that_gets_coarse_hides_the_arrival_for_as_long() -> None:
    walk: list[walks.Epoch] = [
        (fix, at_s, error)
        for (fix, at_s, _), error in zip(epochs(at(5, 5, 5, 5, 5)), (5.0, 5.0, 5.0, 60.0, 5.0), strict=True)
    ]
    assert [one.arrived for one in gone(walk)] == [False, False, True, False, True]


def test_a_void_epoch_ends_the_row_but_not_the_arrival() -> None:
    first, second, third, *more = epochs(at(5, 5, 5, 5, 5, 5))
    assert [one.arrived for one in gone([first, second, void(1.5), third, *more])] == [False] * 5 + [True] * 2
    assert [one.arrived for one in gone([first, second, third, void(2.5), *more])] == [False] * 2 + [True] * 5


def test_who_has_arrived_has_no_time_left_to_go_and_the_mark_is_in_the_list() -> None:
    found = gone(epochs(walks.straight(laid(OCEAN, 0.0, 100.0), 180.0, 70)))
    there = [one for one in found if one.arrived]
    assert found[30:55][0].eta_s is not None
    assert {(one.eta_s, one.passed, one.leg) for one in there} == {(None, ("Mark",), 0)}


@pytest.mark.parametrize("seed", range(4))
def test_standing_on_the_mark_stays_arrived(seed: int) -> None:
    """Errors of 3 m an axis are never 30 m off."""
    found = gone(epochs(noisy(standing(OCEAN, 300), Noise(3.0), seed), error_95_m=7.3))
    assert [one.arrived for one in found] == [False, False] + [True] * 299
