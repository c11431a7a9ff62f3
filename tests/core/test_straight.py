"""A course from the track: right after twenty metres, none from noise alone, anywhere on Earth."""

from __future__ import annotations

import pytest
from geographiclib.geodesic import Geodesic

from core.fix import Position
from core.samples import Joint, Sample, join
from core.straight import GOING_S, LEAST_STRETCH_M, NO_TRAIL, Straight, needed_m, straight, walk_on
from tests import walks
from tests.walks import ANYWHERE, OCEAN, PACE_MPS, Epoch, Noise, Step, epochs, laid, noisy, standing

HOUR_S = 3600


def told(taken: list[Epoch]) -> list[Straight]:
    """What the trail says after each epoch."""
    trail, before, found = NO_TRAIL, None, []
    for one in taken:
        before, joint = join(before, one)
        trail = walk_on(trail if joint is Joint.GOES_ON else NO_TRAIL, before)
        found.append(straight(trail))
    return found


def off_deg(course: float | None, true: float) -> float:
    assert course is not None
    return abs((course - true + 180.0) % 360.0 - 180.0)


@pytest.mark.parametrize("start", ANYWHERE)
@pytest.mark.parametrize("bearing", [0.0, 77.0, 181.0, 290.0])
def test_twenty_metres_straight_give_the_direction(start: Position, bearing: float) -> None:
    """At the newest place: over the pole the direction of travel turns round, and so does the truth."""
    walk = walks.straight(start, bearing, 40)
    found = told(epochs(walk))
    first = next(n for n, one in enumerate(found) if one.course_deg is not None)
    assert LEAST_STRETCH_M <= first * PACE_MPS <= LEAST_STRETCH_M + PACE_MPS
    for step, one in list(zip(walk, found, strict=True))[first:]:
        end = Geodesic.WGS84.Direct(*start, bearing, step.at_s * PACE_MPS)
        assert off_deg(one.course_deg, end["azi2"]) < 1e-3
        assert one.straight_m == one.needed_m == LEAST_STRETCH_M


def test_the_way_walked_so_far_is_told() -> None:
    found = [one.straight_m for one in told(epochs(walks.straight(OCEAN, 30.0, 14)))]
    assert found == sorted(found)
    assert found[0] == 0.0
    assert found[10] == pytest.approx(10 * PACE_MPS, abs=0.01)


@pytest.mark.parametrize("seed", range(6))
def test_with_noise_most_directions_are_right_to_fifteen_degrees(seed: int) -> None:
    """3 m slow errors stray by 1.9 m an axis while 20 m are walked (calc): 5.4 degrees, one sigma."""
    found = told(epochs(noisy(walks.straight(OCEAN, 200.0, 300), Noise(3.0, 60.0), seed)))
    off = sorted(off_deg(one.course_deg, 200.0) for one in found if one.course_deg is not None)
    assert len(off) > 150
    assert off[int(0.9 * len(off))] < 15.0


@pytest.mark.parametrize("noise", [Noise(sigma, tau) for sigma in (2.0, 3.0) for tau in (60.0, 600.0)])
@pytest.mark.parametrize("seed", range(2))
def test_an_hour_of_standing_gives_no_course(noise: Noise, seed: int) -> None:
    found = told(epochs(noisy(standing(OCEAN, HOUR_S), noise, seed)))
    assert [one for one in found if one.course_deg is not None] == []


def test_a_coarse_position_asks_for_a_longer_stretch_and_a_very_coarse_one_for_too_much() -> None:
    assert [needed_m(error) for error in (None, 0.0, 10.0, 12.0, 30.0, 30.1)] == [20.0, 20.0, 20.0, 24.0, 60.0, None]
    walk = walks.straight(OCEAN, 30.0, 80)
    given = {error: told(epochs(walk, error_95_m=error)) for error in (12.0, 30.0, 35.0)}
    first = {
        error: next((n for n, one in enumerate(found) if one.course_deg is not None), None)
        for error, found in given.items()
    }
    assert first == {12.0: 18, 30.0: 43, 35.0: None}  # 25.2 m and 60.2 m at 1.4 m/s
    assert given[35.0][-1] == (None, 60.0, None)


@pytest.mark.parametrize("radius_m", [5.0, 10.0, 14.0])
def test_going_round_gives_no_course(radius_m: float) -> None:
    """A chord of 20 m leaves a circle of 14 m radius by 4.2 m (calc)."""
    assert all(one.course_deg is None for one in told(epochs(walks.loop(OCEAN, radius_m, 300))))


def test_turning_back_ends_the_course_and_the_way_back_gives_the_other() -> None:
    found = told(epochs(walks.out_and_back(OCEAN, 30.0, 120)))
    assert off_deg(found[60].course_deg, 30.0) < 1e-3
    between = [one.course_deg for one in found[63:74]]
    assert between == [None] * len(between)
    assert off_deg(found[-1].course_deg, 210.0) < 1e-3


def test_standing_still_ends_the_course() -> None:
    walk = walks.then(walks.straight(OCEAN, 30.0, 30), standing(laid(OCEAN, 30.0, 30 * PACE_MPS), 20))
    found = told(epochs(walk))
    assert found[30].course_deg is not None
    assert [one for one in found[31 + int(GOING_S) :] if one.course_deg is not None or one.straight_m] == []


@pytest.mark.parametrize("leap_m", [21.0, 25.0, 29.0])
def test_a_leap_while_standing_is_no_direction(leap_m: float) -> None:
    """Small enough to be no jump by the verdict's rule."""
    walk = walks.then(standing(OCEAN, 60), standing(laid(OCEAN, 30.0, leap_m), 60))
    assert all(one.course_deg is None for one in told(epochs(walk)))


def test_a_drive_has_a_course_from_its_track_too() -> None:
    """30 m a second: single steps are longer than the stretch."""
    found = told(epochs(walks.straight(OCEAN, 30.0, 10, mps=30.0)))
    assert off_deg(found[-1].course_deg, 30.0) < 1e-3


def test_the_slowest_walk_has_a_course_in_the_end_and_slower_has_none() -> None:
    assert told(epochs(walks.straight(OCEAN, 30.0, 100, mps=0.35)))[-1].course_deg is not None
    assert told(epochs(walks.straight(OCEAN, 30.0, 400, mps=0.25)))[-1] == (None, 0.0, 20.0)


def test_an_empty_trail_says_nothing_and_a_long_one_stays_small() -> None:
    assert straight(NO_TRAIL) == (None, 0.0, 20.0)
    trail, before = NO_TRAIL, None
    for one in epochs([Step(float(n), laid(OCEAN, n * 90.0 % 360.0, 15.0)) for n in range(500)]):
        before, _ = join(before, one)
        assert isinstance(before, Sample)
        trail = walk_on(trail, before)
    assert len(trail.kept) <= 60
    assert len(trail.recent) <= GOING_S + 1
