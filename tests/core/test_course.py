"""When a course means something: thresholds, and hysteresis that keeps it from flickering."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.course import SEEN, SURE, CourseTrust, course_trust

NONE, UNSURE, TRUSTED = CourseTrust.NONE, CourseTrust.UNSURE, CourseTrust.SURE


@pytest.mark.parametrize(
    ("before", "speed", "after"),
    [
        (NONE, None, NONE),
        (NONE, 0.0, NONE),
        (NONE, 0.49, NONE),
        (NONE, 0.5, UNSURE),
        (NONE, 0.99, UNSURE),
        (NONE, 1.0, TRUSTED),
        (UNSURE, 0.99, UNSURE),
        (UNSURE, 0.4, UNSURE),
        (UNSURE, 0.39, NONE),
        (UNSURE, 1.0, TRUSTED),
        (TRUSTED, 0.8, TRUSTED),
        (TRUSTED, 0.79, UNSURE),
        (TRUSTED, 0.4, UNSURE),
        (TRUSTED, 0.39, NONE),
        (TRUSTED, None, NONE),
    ],
)
def test_thresholds_depend_on_where_one_comes_from(
    before: CourseTrust, speed: float | None, after: CourseTrust
) -> None:
    assert course_trust(speed, before) is after


def test_the_design_says_one_metre_a_second_and_half_of_it() -> None:
    assert (SURE.enter_mps, SEEN.enter_mps) == (1.0, 0.5)
    assert SURE.leave_mps < SURE.enter_mps
    assert SEEN.leave_mps < SEEN.enter_mps


@given(st.floats(0, 3), st.sampled_from(list(CourseTrust)))
def test_a_steady_speed_gives_a_steady_state(speed: float, before: CourseTrust) -> None:
    once = course_trust(speed, before)
    assert course_trust(speed, once) is once


@given(st.lists(st.floats(0.41, 0.49) | st.floats(0.81, 0.99), min_size=1, max_size=20))
def test_noise_between_leaving_and_entering_changes_nothing(speeds: list[float]) -> None:
    state = UNSURE
    for speed in speeds:
        state = course_trust(speed, state)
    assert state is UNSURE
