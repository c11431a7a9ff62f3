"""The way to a goal against what geographiclib laid: beside and along the leg, closing, and the time it will take."""

from __future__ import annotations

import pytest
from geographiclib.geodesic import Geodesic

from core.errors import InputError
from core.fix import Fix, Position
from core.going import NOT_GOING, Goal, Going, Route
from core.guidance import guide
from core.navigator import Navigator
from tests import walks
from tests.walks import ANYWHERE, OCEAN, PACE_MPS, Noise, Step, beside, epochs, laid, noisy, standing

MM = 1e-3


def gone(walk: list[walks.Epoch], route: Route | None) -> list[Going]:
    navigator = Navigator()
    navigator.route = route
    return [navigator.take(*one) for one in walk]


def to(place: Position, start: Position | None = None) -> Route:
    return Route((Goal("Mark", place),), start)


# Where


@pytest.mark.parametrize("start", ANYWHERE)
@pytest.mark.parametrize("bearing", [20.0, 110.0, 265.0])
def test_beside_and_along_the_leg_to_a_millimetre(start: Position, bearing: float) -> None:
    """Each place is laid at right angles from the leg, so both distances are known beforehand."""
    goal = laid(start, bearing, 400.0)
    truth = [(float(n * 7), -30.0 + n * 3) for n in range(20)]
    walk = [Step(float(n), beside(start, bearing, *one)) for n, one in enumerate(truth)]
    for found, (along_m, right_m) in zip(gone(epochs(walk), to(goal, start)), truth, strict=True):
        assert found.along_track_m == pytest.approx(along_m, abs=MM)
        assert found.cross_track_m == pytest.approx(right_m, abs=MM)
        assert found.leg_length_m == pytest.approx(400.0, abs=MM)
        assert found.leg_start == start


@pytest.mark.parametrize("start", ANYWHERE)
def test_distance_and_bearing_are_those_that_the_goal_was_laid_by(start: Position) -> None:
    for bearing, metres in ((0.5, 37.0), (93.0, 412.0), (200.0, 12_000.0), (300.0, 3_000_000.0)):
        found = guide(start, laid(start, bearing, metres), None)
        assert found.distance_m == pytest.approx(metres, abs=MM)
        assert found.bearing_deg == pytest.approx(bearing, abs=1e-3 if metres < 100 else 1e-5)


def test_without_a_start_the_leg_begins_at_the_first_fix() -> None:
    walk = epochs(walks.straight(OCEAN, 45.0, 5))
    route = to(laid(OCEAN, 45.0, 100.0))
    before, first, *_, last = gone([walks.void(-1.0), *walk], route)
    assert (before.leg_start, before.leg_length_m, before.route) == (None, None, route)
    assert first.leg_start == walk[0][0].position
    assert first.along_track_m == pytest.approx(0.0, abs=MM)
    assert last.leg_start == first.leg_start
    assert last.along_track_m == pytest.approx(5 * PACE_MPS, abs=MM)


def test_a_leg_from_a_place_to_itself_has_no_direction() -> None:
    found = gone(epochs(walks.straight(OCEAN, 45.0, 5)), to(OCEAN, OCEAN))[-1]
    assert (found.cross_track_m, found.along_track_m, found.leg_length_m) == (None, None, 0.0)


# How fast, how long


@pytest.mark.parametrize("start", ANYWHERE)
def test_walking_straight_there(start: Position) -> None:
    """Without noise: the pace, and the time that is truly left."""
    found = gone(epochs(walks.straight(start, 30.0, 200)), to(laid(start, 30.0, 500.0)))
    assert [one.closing_mps for one in found[:10]] == [None] * 10
    assert [one.eta_s for one in found[:30]] == [None] * 30
    for n, one in enumerate(found[30:], 30):
        assert one.closing_mps == pytest.approx(PACE_MPS, abs=1e-6)
        assert one.eta_s == pytest.approx(500.0 / PACE_MPS - n, abs=0.01)


@pytest.mark.parametrize("seed", range(5))
def test_noise_moves_them_by_no_more_than_it_can(seed: int) -> None:
    """Errors of 2.5 m correlated over 300 s part by 1.6 m in 60 s (calc), 0.03 m/s: six of those at most."""
    walk = noisy(walks.straight(OCEAN, 30.0, 300), Noise(), seed)
    for n, one in list(enumerate(gone(epochs(walk), to(laid(OCEAN, 30.0, 1000.0)))))[60:]:
        assert one.closing_mps == pytest.approx(PACE_MPS, abs=0.18)
        assert one.eta_s == pytest.approx(1000.0 / PACE_MPS - n, rel=0.15)


@pytest.mark.parametrize("seed", range(3))
def test_standing_tells_no_time(seed: int) -> None:
    found = gone(epochs(noisy(standing(OCEAN, 600), Noise(2.0, 600.0), seed)), to(laid(OCEAN, 30.0, 300.0)))
    assert {one.eta_s for one in found} == {None}
    assert abs(found[-1].closing_mps or 1.0) < 0.2


def test_walking_away_tells_no_time_and_a_negative_rate() -> None:
    found = gone(epochs(walks.straight(OCEAN, 210.0, 100)), to(laid(OCEAN, 30.0, 300.0)))
    assert {one.eta_s for one in found} == {None}
    assert found[-1].closing_mps == pytest.approx(-PACE_MPS, abs=1e-6)


def test_going_round_the_goal_tells_no_time() -> None:
    found = gone(epochs(walks.loop(OCEAN, 60.0, 400)), to(OCEAN))
    assert {one.eta_s for one in found} == {None}
    assert found[-1].closing_mps == pytest.approx(0.0, abs=1e-6)


def test_who_turns_back_loses_the_time_within_ten_seconds() -> None:
    """The mean of the minute is still closing then: 1.4 m/s for 50 s there and 10 s back is 0.93."""
    found = gone(epochs(walks.out_and_back(OCEAN, 30.0, 200)), to(laid(OCEAN, 30.0, 500.0)))
    assert found[100].eta_s is not None
    closing = found[110].closing_mps
    assert closing == pytest.approx((50 - 10) * PACE_MPS / 60, abs=1e-6)
    assert {one.eta_s for one in found[106:]} == {None}


def test_walking_across_closes_by_the_part_that_leads_there() -> None:
    """60 degrees off the bearing of a far goal: half of the pace."""
    far = laid(OCEAN, 30.0, 50_000.0)
    found = gone(epochs(walks.straight(OCEAN, 90.0, 60)), to(far))[-1]
    assert found.closing_mps == pytest.approx(PACE_MPS / 2, abs=2e-3)


def test_the_course_from_the_track_is_there_when_the_walk_is() -> None:
    found = gone(epochs(walks.straight(OCEAN, 30.0, 30)), to(laid(OCEAN, 90.0, 500.0)))
    assert found[10].track_course_deg is None
    assert found[10].straight_m == pytest.approx(14.0, abs=0.01)
    assert found[-1].track_course_deg == pytest.approx(30.0, abs=1e-3)


# Not going, and routes that are none


def test_without_a_route_there_is_nothing() -> None:
    assert gone(epochs(walks.straight(OCEAN, 30.0, 3)), None) == [NOT_GOING] * 4
    assert Navigator().look_ahead(epochs(standing(OCEAN, 3))) is NOT_GOING


def test_epochs_that_tell_of_no_fix_at_all_change_nothing() -> None:
    navigator = Navigator()
    navigator.route = to(laid(OCEAN, 30.0, 500.0))
    taken = [navigator.take(*one) for one in epochs(walks.straight(OCEAN, 30.0, 20))]
    assert navigator.take(Fix(), 25.0, None) is taken[-1]


@pytest.mark.parametrize("place", [(91.0, 0.0), (float("nan"), 0.0), (0.0, float("nan")), (0.0, float("inf"))])
def test_a_place_that_is_nowhere_is_refused(place: tuple[float, float]) -> None:
    with pytest.raises(InputError, match="goal 2 is not on the globe"):
        Route((Goal("A", OCEAN), Goal("\x1b[31m", Position(*place))))
    with pytest.raises(InputError, match="start is not on the globe"):
        Route((Goal("A", OCEAN),), Position(*place))
    with pytest.raises(InputError, match="needs a goal"):
        Route(())


def test_routes_are_compared_by_identity() -> None:
    assert to(OCEAN) != to(OCEAN)


def test_a_goal_on_the_other_side_of_the_earth_is_no_obstacle() -> None:
    line = Geodesic.WGS84.Inverse(*OCEAN, -10.5, 159.75)
    found = gone(epochs(walks.straight(OCEAN, line["azi1"], 20)), to(Position(-10.5, 159.75)))[-1]
    assert found.leg_length_m == pytest.approx(line["s12"])
    assert found.along_track_m == pytest.approx(20 * PACE_MPS, abs=MM)
