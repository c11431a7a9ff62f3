"""Back along the trail on ways that cross, double and turn back beside themselves: progress against where one truly is.

Truth: corners in metres east and north, laid by geographiclib; a walk out along them, recorded with one noise, and one
back with another. All in open ocean: invented.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate, pairwise

import pytest

from core.errors import InputError
from core.fix import Position
from core.going import NOT_GOING, Going, Route
from core.navigator import Navigator
from core.places.geodesic import distance_m, way
from core.return_trail import TRAIL, TRAIL_START, gap_ahead, left_m, lookahead, route_back, route_resumed
from core.track import TrackPoint, TrackView
from tests.walks import ANYWHERE, OCEAN, PACE_MPS, Noise, Step, epochs, laid, noisy

Corners = Sequence[tuple[float, float]]
"""Metres east and north of the start of the walk out."""
WAYS: dict[str, Corners] = {
    "straight out": [(0, 0), (600, 300)],
    "figure of eight": [(0, 0), (200, 200), (400, 0), (200, -200), (-200, 200), (-400, 0), (-200, -200), (0, 0)],
    "crossing itself": [(0, 0), (400, 0), (400, 200), (200, 200), (200, -300)],
    "spur": [(0, 0), (300, 0), (300, 250), (300, 0), (600, 0)],
    "out and back": [(0, 0), (500, 0), (20, 0)],
    "hairpins": [(0, 0), (150, 0), (150, 15), (0, 15), (0, 30), (150, 30), (150, 45), (0, 45), (0, 60), (150, 60)],
    "short hairpins": [(0, 0), *((40.0 * (n // 2 % 2), 15.0 * ((n - 1) // 2)) for n in range(3, 20))],
    "round the block": [(0, 0), (200, 0), (200, 200), (0, 200), (0, 5)],
}  # fmt: skip


class Truth:
    """A way by its corners, and where one is on it."""

    def __init__(self, corners: Corners, start: Position = OCEAN) -> None:
        self.corners, self.start = corners, start
        self.along = list(accumulate((math.dist(a, b) for a, b in pairwise(corners)), initial=0.0))
        self.length_m = self.along[-1]

    def at(self, metres: float, right_m: float = 0.0) -> Position:
        """The place so far along, and so far right of it."""
        number = min(max(1, bisect_left(self.along, metres)), len(self.corners) - 1)
        (ax, ay), (bx, by) = self.corners[number - 1], self.corners[number]
        length = self.along[number] - self.along[number - 1]
        share = (metres - self.along[number - 1]) / length
        x = ax + share * (bx - ax) + right_m * (by - ay) / length
        y = ay + share * (by - ay) - right_m * (bx - ax) / length
        return laid(self.start, math.degrees(math.atan2(x, y)), math.hypot(x, y))

    def out(self) -> list[Step]:
        return [Step(float(n), self.at(PACE_MPS * n)) for n in range(int(self.length_m / PACE_MPS) + 1)]

    def back(self, aside: dict[range, float] | None = None) -> list[tuple[float, Step]]:
        """With the distance truly left at each step. `aside`: metres to the right of the walk out, by seconds."""
        found = []
        for n in range(int(self.length_m / PACE_MPS) + 15):
            left = max(0.0, self.length_m - PACE_MPS * n)
            right_m = next((metres for seconds, metres in (aside or {}).items() if n in seconds), 0.0)
            found.append((left, Step(float(n), self.at(left, right_m))))
        return found


def track(walk: list[Step], every: int = 7, *, gap_after: int | None = None) -> TrackView:
    """A point each so many seconds, one segment, or two."""
    steps = [*walk[::every], walk[-1]]
    points = [TrackPoint(one.place, one.at_s, None, None, n in {0, gap_after}) for n, one in enumerate(steps)]
    return TrackView(points, len(points))


def gone(walk: list[Step], route: Route, error_95_m: float | None = 7.0) -> list[Going]:
    navigator = Navigator()
    navigator.route = route
    return [navigator.take(*one) for one in epochs(walk, error_95_m=error_95_m)]


def check(truth: Truth, walk: list[tuple[float, Step]], found: list[Going], within_m: float = 25.0) -> None:
    """Never back, never on another branch, on all of the way, and there at its end only.

    Progress is compared as a part of the whole: noise makes the recorded way a few per cent longer than the true one.
    """
    along = [one.along_trail_m or 0.0 for one in found]
    assert along == sorted(along)
    assert [one.leg for one in found] == sorted(one.leg for one in found)
    route = found[0].route
    assert route is not None
    assert route.path is not None
    for (left, _), metres in zip(walk, along, strict=True):
        assert metres / route.path.length_m * truth.length_m == pytest.approx(truth.length_m - left, abs=within_m)
    assert not any(one.arrived for (left, _), one in zip(walk, found, strict=True) if left > 20.0 + within_m)
    assert found[-1].arrived
    assert found[-1].passed == (TRAIL_START,)


@pytest.mark.parametrize(("seed", "name"), enumerate(WAYS))
def test_back_on_every_kind_of_way(name: str, seed: int) -> None:
    """Errors of 2.5 m an axis, slow, each way its own: trail and walker are up to 10 m apart.

    Tried once with 25 seeds each: all arrived, never more than 29 m from where they should be along the way.
    """
    truth = Truth(WAYS[name])
    route = route_back(track(noisy(truth.out(), Noise(), seed)))
    walk = truth.back()
    seen = noisy([step for _, step in walk], Noise(), seed + 100)
    check(truth, walk, gone(seen, route))


@pytest.mark.parametrize("share", [0.1, 0.3, 0.7, 1.0])
@pytest.mark.parametrize("name", WAYS)
def test_after_a_stop_the_way_back_goes_on_from_where_it_had_come_to(name: str, share: float) -> None:
    """The points since it was begun are in the track: an outward leg, for who does not know that."""
    truth = Truth(WAYS[name])
    out = noisy(truth.out(), Noise(), 11)
    steps = truth.back()
    back = noisy([step for _, step in steps][: round(share * len(steps))], Noise(), 12)
    trail = track(out)
    points = [*trail.points, *(TrackPoint(one.place, one.at_s, None, None, False) for one in back[::7])]
    resumed = route_resumed(TrackView(points, len(points)), trail.count)
    assert resumed.by_trail
    assert resumed.goals[-1].name == TRAIL_START
    assert resumed.path is not None
    begun = route_back(trail)
    assert begun.path is not None
    assert resumed.path.length_m == pytest.approx((1.0 - share) * begun.path.length_m, abs=80.0)


@pytest.mark.parametrize("start", ANYWHERE)
def test_back_without_noise_anywhere(start: Position) -> None:
    """Over a pole and over the antimeridian too; three fixes late at most, and 3 m for what thinning cuts."""
    truth = Truth(WAYS["spur"], start)
    walk = truth.back()
    check(truth, walk, gone([step for _, step in walk], route_back(track(truth.out(), 1))), 3 * PACE_MPS + 3.0)


@pytest.mark.parametrize("name", ["straight out", "spur", "crossing itself", "round the block"])
def test_a_coarse_position_keeps_to_the_branch_too(name: str) -> None:
    """Circles of 40 m: goals 50 m apart would all be taken for reached from beside."""
    truth = Truth(WAYS[name])
    walk = truth.back()
    seen = noisy([step for _, step in walk], Noise(6.0, 120.0), 7)
    route = route_back(track(noisy(truth.out(), Noise(), 3)))
    check(truth, walk, gone(seen, route, 20.0), 45.0)


@pytest.mark.parametrize("right_m", [60.0, -60.0])
@pytest.mark.parametrize("name", ["straight out", "crossing itself"])
def test_who_strays_and_comes_back_goes_on_from_there(name: str, right_m: float) -> None:
    """60 m aside for a minute and a half: 126 m of the way."""
    truth = Truth(WAYS[name])
    walk = truth.back({range(60, 150): right_m})
    found = gone([step for _, step in walk], route_back(track(truth.out(), 1)))
    check(truth, walk, found, 65.0)
    assert any(abs(one.cross_track_m or 0.0) == pytest.approx(60.0, abs=2.0) for one in found)
    after = [(left, one) for (left, _), one in zip(walk[160:], found[160:], strict=True)]
    assert all(truth.length_m - left == pytest.approx(one.along_trail_m, abs=12.0) for left, one in after)


def test_who_begins_beside_the_trail_joins_it() -> None:
    """100 m off its end, straight to a place 150 m down the trail: not told to go to its end first."""
    truth = Truth([(0, 0), (0, 600)])
    offset = laid(truth.at(600.0), 90.0, 100.0)
    joining = way(offset, truth.at(450.0))
    steps = int(joining.distance_m / PACE_MPS)
    walk = [Step(float(n), laid(offset, joining.initial_bearing_deg, PACE_MPS * n)) for n in range(steps)]
    walk += [Step(float(steps + n), truth.at(max(0.0, 450.0 - PACE_MPS * n))) for n in range(335)]
    found = gone(walk, route_back(track(truth.out())))
    along = [one.along_trail_m or 0.0 for one in found]
    assert along == sorted(along)
    assert along[steps + 3] == pytest.approx(150.0, abs=6.0)
    assert found[-1].arrived


def test_who_leaves_out_a_spur_is_taken_up_after_it() -> None:
    """A spur of 200 m, there and back: after 0.3 (200 + w) = w, 86 m (by hand), and three fixes."""
    truth = Truth([(0, 0), (400, 0), (400, 100), (400, 0), (600, 0)])
    walk = [Step(float(n), laid(OCEAN, 90.0, max(0.0, 600.0 - PACE_MPS * n))) for n in range(440)]
    found = gone(walk, route_back(track(truth.out(), 1)))
    after = [one.along_trail_m or 0.0 for one in found]
    taken_up = next(n for n, metres in enumerate(after) if metres > 400.0)
    assert PACE_MPS * taken_up - 200.0 == pytest.approx(86.0, abs=3 * PACE_MPS)
    assert found[-1].arrived


def test_one_stray_fix_moves_nothing() -> None:
    """It lies on another arm, 300 m farther along; progress goes by the fix of the three that is least far."""
    truth = Truth(WAYS["hairpins"])
    walk = [step for _, step in truth.back()][:60]
    route = route_back(track(truth.out(), 1))
    stray = [*walk[:40], walk[40]._replace(place=truth.at(truth.length_m - 400.0)), *walk[41:]]
    found = [
        (one.along_trail_m, plain.along_trail_m or 0.0)
        for one, plain in zip(gone(stray, route), gone(walk, route), strict=True)
    ]
    assert all((metres or 0.0) <= plain + PACE_MPS for metres, plain in found)
    assert found[-1][0] == pytest.approx(found[-1][1], abs=1.0)


def test_standing_for_half_an_hour_moves_little() -> None:
    """Errors of 2.5 m an axis: the farthest of them, not their sum."""
    truth = Truth(WAYS["hairpins"])
    place = truth.at(truth.length_m - 100.0)
    found = gone(noisy([Step(float(n), place) for n in range(1800)], Noise(), 5), route_back(track(truth.out())))
    assert 80.0 <= (found[-1].along_trail_m or 0.0) <= 112.0


# The route


def test_goals_are_near_the_track_and_near_each_other() -> None:
    truth = Truth(WAYS["crossing itself"])
    view = track(truth.out(), 1)
    goals = route_back(view).goals
    assert goals[0].position == view.points[-1].position
    assert goals[-1].position == view.points[0].position
    assert {goal.name for goal in goals[:-1]} == {TRAIL}
    steps = [distance_m(a.position, b.position) for a, b in pairwise(goals)]
    assert max(steps) <= 50.0 + 1e-6
    assert len(goals) <= truth.length_m / 50.0 * 1.5 + 5
    for corner in truth.along:
        assert min(distance_m(goal.position, truth.at(corner)) for goal in goals) <= 5.0 + PACE_MPS


def test_no_trail_and_a_trail_of_one_point() -> None:
    with pytest.raises(InputError, match="no trail yet"):
        route_back(TrackView([], 0))
    one = TrackPoint(OCEAN, 0.0, None, None, True)
    route = route_back(TrackView([one, one._replace(position=Position(60.0, 60.0))], 1))
    assert [(goal.name, goal.position) for goal in route.goals] == [(TRAIL_START, OCEAN)]
    assert gone([Step(float(n), laid(OCEAN, 0.0, 5.0)) for n in range(3)], route)[-1].arrived


@pytest.mark.parametrize("place", [(math.nan, 0.0), (0.0, math.inf), (91.0, 0.0), (math.inf, 0.0)])
def test_points_that_are_nowhere_are_left_out(place: tuple[float, float]) -> None:
    points = list(track(Truth(WAYS["straight out"]).out()).points)
    points[3:3] = [TrackPoint(Position(*place), 20.0, None, None, True)]
    route = route_back(TrackView(points, len(points)))
    assert all(abs(goal.position.latitude_deg) <= 90.0 for goal in route.goals)
    assert sum(goal.across_gap for goal in route.goals) == 1


@pytest.mark.parametrize("wide_deg", [1e-4, 1e-2, 10.0])
def test_there_are_never_more_than_4000_goals(wide_deg: float) -> None:
    """Zigzags of 11 m, 1 km and 1,100 km, each point a corner and each a gap."""
    points = [TrackPoint(Position(n % 2 * wide_deg, n * 1e-4), float(n), None, None, True) for n in range(12_000)]
    goals = route_back(TrackView(points, len(points))).goals
    assert len(goals) <= 4000
    assert (goals[0].position, goals[-1].position) == (points[-1].position, points[0].position)
    assert all(goal.across_gap for goal in goals[1:])


def test_a_gap_is_a_straight_leg_and_is_told() -> None:
    truth = Truth([(0, 0), (0, 700)])
    walk = [step for step in truth.out() if not 200.0 < step.at_s * PACE_MPS < 500.0]
    view = track(walk, 1, gap_after=143)
    route = route_back(view)
    (number,) = [n for n, goal in enumerate(route.goals) if goal.across_gap]
    length_m = distance_m(route.goals[number - 1].position, route.goals[number].position)
    assert length_m == pytest.approx(300.0, abs=2 * PACE_MPS)
    found = gone([step for _, step in truth.back()], route)
    told = [PACE_MPS * n for n, one in enumerate(found) if gap_ahead(route, one)]
    assert told[0] == pytest.approx(200.0, abs=8.0)
    assert told[-1] == pytest.approx(500.0, abs=8.0)
    assert not gap_ahead(route, NOT_GOING)
    assert found[-1].arrived


# How far still, and where to point


def test_what_is_left_is_what_is_left() -> None:
    truth = Truth(WAYS["spur"])
    walk = truth.back()
    route = route_back(track(truth.out(), 1))
    for (left, step), one in zip(walk, gone([step for _, step in walk], route), strict=True):
        assert left_m(route, one, step.place) == pytest.approx(left, abs=3 * PACE_MPS + 2.0)


def test_the_way_back_to_the_trail_counts_beyond_20_m() -> None:
    truth = Truth([(0, 0), (0, 600)])
    route = route_back(track(truth.out(), 1))
    end = route.goals[0].position
    lefts = [left_m(route, NOT_GOING, laid(end, 90.0, metres)) for metres in (0.0, 20.0, 120.0)]
    assert lefts == [pytest.approx(600.0, abs=2.0), pytest.approx(lefts[0]), pytest.approx(lefts[0] + 100.0)]
    plain = Route(route.goals)
    assert left_m(plain, NOT_GOING, laid(end, 90.0, 120.0)) == pytest.approx(lefts[0] + 120.0, abs=0.01)


def test_closing_and_eta_are_those_to_the_end_of_the_trail() -> None:
    """Round corners, where the distance to its end grows at first. Thinning cuts up to 6 m of 84 m off at a corner."""
    truth = Truth([(0, 0), (0, 300), (300, 300), (300, 0)])
    walk = truth.back()
    found = gone([step for _, step in walk], route_back(track(truth.out(), 1)))
    for (left, _), one in list(zip(walk, found, strict=True))[40:600]:
        assert one.closing_mps == pytest.approx(PACE_MPS, rel=0.1)
        assert one.eta_s == pytest.approx(left / PACE_MPS, rel=0.1, abs=8.0)


def test_what_is_pointed_at_is_20_m_ahead_and_moves_on_only_forwards() -> None:
    truth = Truth(WAYS["straight out"])
    route = route_back(track(truth.out(), 1))
    walk = [step for _, step in truth.back()]
    aims = []
    for step, one in zip(walk, gone(walk, route), strict=True):
        goal = lookahead(route, one.leg, step.place)
        aims.append(route.goals.index(goal))
        assert goal is route.goals[-1] or distance_m(step.place, goal.position) >= 20.0 - 3 * PACE_MPS
    assert aims == sorted(aims)


def test_nobody_is_pointed_round_a_hairpin_before_being_there() -> None:
    """80 m to the turn and 80 m back on the other arm: until 10 m before it the turn is pointed at."""
    truth = Truth([(0, 0), (80, 0), (0, 0.1)])
    route = route_back(track(truth.out(), 1))
    turn = min(range(len(route.goals)), key=lambda n: distance_m(route.goals[n].position, truth.at(80.0)))
    aims = [lookahead(route, turn, truth.at(80.0 + metres)) is route.goals[turn] for metres in (25.0, 18.0, 12.0, 8.0)]
    assert aims == [True, True, True, False]
