"""Levels of detail: no point is farther from them than promised, gaps stay, and no chunk is overlooked."""

from __future__ import annotations

import random
from itertools import pairwise
from math import dist, isfinite

from core.fix import Position
from core.map_view import MapView, Plane, Vector, vector
from core.thinned import LEVELS_M, Thinned
from core.track import TrackPoint, TrackView
from tests.walks import NEAR_ANTIMERIDIAN, OCEAN, laid, straight


def track(places: list[Position], begins: tuple[int, ...] = (0,)) -> TrackView:
    points = [TrackPoint(place, float(n), None, None, n in begins) for n, place in enumerate(places)]
    return TrackView(points, len(points))


def wandering(count: int, seed: int = 1, start: Position = OCEAN) -> list[Position]:
    rng, place, heading, found = random.Random(seed), start, 0.0, []
    for _ in range(count):
        heading += rng.gauss(0, 25)
        place = laid(place, heading, rng.uniform(0, 12))
        found.append(place)
    return found


def thinned(view: TrackView) -> Thinned:
    levels = Thinned()
    levels.follow(view)
    return levels


def kept(levels: Thinned, step_m: float) -> list[Vector]:
    return [entry for entry in levels.levels[LEVELS_M.index(step_m)].entries if entry is not None]


def test_no_point_is_two_steps_from_one_that_is_kept() -> None:
    places = [vector(place) for place in wandering(1500)]
    levels = thinned(track(wandering(1500)))
    for step_m in LEVELS_M[:8]:
        level = kept(levels, step_m)
        assert max(min(dist(place, one) for one in level) for place in places) < 2 * step_m


def test_neighbours_are_a_step_apart() -> None:
    """At 1.4 m from point to point every one is kept at 1 m, every second at 2 m, every fourth at 4 m, ..."""
    levels = thinned(track([step.place for step in straight(OCEAN, 70, 2000)]))
    assert [len(kept(levels, step_m)) for step_m in (1.0, 2.0, 8.0, 1024.0)] == [2001, 1001, 251, 2]
    for step_m in LEVELS_M:
        level = kept(levels, step_m)
        assert all(dist(a, b) >= step_m for a, b in pairwise(level))


def test_segments_stay_apart_in_every_level() -> None:
    levels = thinned(track(wandering(300), begins=(0, 100, 101, 250)))
    for level in levels.levels:
        assert level.entries.count(None) == 3
        firsts = [level.entries[0], *(b for a, b in pairwise(level.entries) if a is None)]
        assert firsts == [vector(wandering(300)[n]) for n in (0, 100, 101, 250)]


def test_following_point_by_point_is_the_same_as_all_at_once() -> None:
    view = track(wandering(400), begins=(0, 57))
    live = Thinned()
    for count in range(view.count + 1):
        live.follow(TrackView(view.points, count))
    assert [one.entries for one in live.levels] == [one.entries for one in thinned(view).levels]
    assert live.tip == thinned(view).tip
    assert live.restarts == 1


def test_nothing_beyond_the_count_is_read() -> None:
    """Another thread may be writing there."""
    view = track(wandering(20))
    levels = thinned(TrackView(view.points, 7))
    assert levels.tip == vector(view.points[6].position)


def test_another_track_is_begun_anew() -> None:
    levels = thinned(track(wandering(300)))
    other = track(wandering(50, seed=2))
    before = levels.restarts
    levels.follow(other)
    assert levels.restarts == before + 1
    assert [one.entries for one in levels.levels] == [one.entries for one in thinned(other).levels]


def test_a_point_that_is_nowhere_is_left_out_but_its_gap_is_not() -> None:
    places = wandering(6)
    places[3] = Position(float("nan"), 0.0)
    levels = thinned(track(places, begins=(0, 3)))
    assert levels.levels[0].entries.count(None) == 1
    assert all(isfinite(part) for entry in kept(levels, 1.0) for part in entry)


def test_the_level_is_just_under_the_dot() -> None:
    levels = Thinned()
    found = [levels.level_for(step).step_m for step in (0.5, 1, 1.9, 5, 50, 500_000)]
    assert found == [1, 1, 1, 4, 32, 1024]


def test_the_outline_reaches_as_far_as_the_track() -> None:
    places = wandering(3000)
    points, slack_m = thinned(track(places)).outline()
    assert len(points) < 600
    for axis in range(3):
        ends = [vector(place)[axis] for place in places]
        assert max(ends) <= max(point[axis] for point in points) + slack_m
        assert min(ends) >= min(point[axis] for point in points) - slack_m


def test_an_empty_track_has_nothing() -> None:
    levels = thinned(TrackView((), 0))
    assert levels.tip is None
    assert levels.outline()[0] == []


def test_no_chunk_on_the_map_is_overlooked_and_far_ones_are() -> None:
    places = wandering(4000, start=NEAR_ANTIMERIDIAN)
    levels = thinned(track(places, begins=(0, 900)))
    for at in (0, 1500, 3999):
        shown = MapView(Plane(places[at]), 1.0, (120, 96))
        seen = list(levels.levels[0].seen(shown))
        covered = {entry for stretch in seen for entry in stretch}
        on_map = [entry for entry in kept(levels, 1.0) if shown.holds(shown.dot(entry))]
        assert len(on_map) > 5
        assert set(on_map) <= covered
        assert len(seen) < len(levels.levels[0].entries) / 128


def test_stretches_join_without_a_gap() -> None:
    """The line between two chunks is in the later one."""
    levels = thinned(track([step.place for step in straight(OCEAN, 70, 600)]))
    shown = MapView(Plane(OCEAN), 100.0, (120, 96))
    stretches = list(levels.levels[0].seen(shown))
    assert len(stretches) == 5
    assert all(a[-1] == b[0] for a, b in pairwise(stretches))
