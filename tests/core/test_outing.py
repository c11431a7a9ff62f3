"""Track and totals together: legs, a reset and its undoing, a trip that is gone on with. Positions are open ocean."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from core.errors import InputError
from core.fix import Position
from core.outing import FRESH_M, Outing
from core.track import TrackPoint
from core.track_rule import TrackRule
from tests.trips import shifted
from tests.walks import OCEAN, PACE_MPS, Step, fix_at, laid, straight

OUT = straight(OCEAN, 90.0, 120)
ON = shifted(straight(laid(OCEAN, 90.0, 120 * PACE_MPS), 90.0, 120), 121.0)
OUT_M = ON_M = 120 * PACE_MPS


def walked(*walks: Iterable[Step], outing: Outing | None = None) -> Outing:
    found = outing or Outing()
    for walk in walks:
        for step in walk:
            found.take(fix_at(step), step.at_s, usable=True)
    return found


def points(outing: Outing) -> list[TrackPoint]:
    view = outing.report().track
    return [*view.points[: view.count]]


def places(outing: Outing) -> list[Position]:
    return [point.position for point in points(outing)]


def test_nothing_has_begun_and_there_is_nothing_to_end_or_undo() -> None:
    fresh = Outing()
    assert not fresh.reset()
    assert not fresh.undo_reset()
    assert (points(fresh), fresh.report().totals.distance_m, fresh.is_touched) == ([], 0.0, False)


def test_legs_share_the_way_of_the_trip() -> None:
    outing = walked(OUT)
    assert not outing.is_touched
    outing.new_leg()
    walked(ON, outing=outing)
    found = outing.report()
    assert outing.is_touched
    (first,) = found.legs
    assert first.distance_m == pytest.approx(OUT_M, abs=15.0)
    assert first.distance_m + found.leg.distance_m == pytest.approx(found.totals.distance_m)
    assert found.totals.distance_m == pytest.approx(OUT_M + ON_M, abs=15.0)


def test_after_a_reset_another_trip_goes_on_and_undone_both_are_one() -> None:
    outing = walked(OUT)
    before, way_m = places(outing), outing.report().totals.distance_m
    assert outing.reset()
    assert outing.is_touched
    assert (points(outing), outing.report().totals.distance_m) == ([], 0.0)
    walked(ON, outing=outing)
    since = places(outing)
    assert since
    assert outing.undo_reset()
    assert places(outing) == before + since
    assert outing.report().totals.distance_m == pytest.approx(way_m + ON_M, abs=15.0)
    assert not outing.undo_reset()


def test_joined_the_track_breaks_where_the_reset_was() -> None:
    """What was walked between the last point of one and the first of the other is in neither."""
    outing = walked(OUT)
    count = len(points(outing))
    assert outing.reset()
    walked(ON, outing=outing)
    assert outing.undo_reset()
    assert [number for number, point in enumerate(points(outing)) if point.begins] == [0, count]


@pytest.mark.parametrize(("metres", "ends"), [(FRESH_M - 20.0, False), (FRESH_M + 20.0, True)])
def test_a_second_reset_ends_only_what_is_more_than_a_few_metres(metres: float, ends: bool) -> None:
    outing = walked(OUT)
    assert outing.reset()
    walked(ON[: round(metres / PACE_MPS)], outing=outing)
    assert outing.reset() is ends


def test_a_trip_goes_on_from_what_was_kept_and_its_reset_can_still_be_undone() -> None:
    first = walked(OUT)
    before = points(first)
    assert first.reset()
    walked(ON, outing=first)
    again = Outing()
    again.restore(first.state(), points(first), before)
    assert places(again) == places(first)
    assert again.report().totals.distance_m == pytest.approx(first.report().totals.distance_m)
    assert again.undo_reset()
    assert places(again) == [point.position for point in before] + places(first)


def test_a_kept_trip_without_a_reset_has_none_to_undo() -> None:
    first = walked(OUT)
    again = Outing()
    again.restore(first.state(), points(first))
    assert not again.undo_reset()
    assert again.reset(), "what was kept is a trip that can be ended"


def test_a_track_without_totals_is_a_trip_too() -> None:
    again = Outing()
    again.restore(None, points(walked(OUT)))
    assert again.report().totals.distance_m == 0.0
    assert again.reset()


def test_a_state_that_is_none_changes_nothing() -> None:
    outing = walked(OUT)
    before, way_m = places(outing), outing.report().totals.distance_m
    with pytest.raises(InputError):
        outing.restore({"legs": "none"}, [])
    assert (places(outing), outing.report().totals.distance_m) == (before, way_m)


def test_after_an_interruption_nothing_is_drawn_or_summed_across() -> None:
    outing = walked(OUT)
    way_m = outing.report().totals.distance_m
    outing.interrupt()
    far = shifted(straight(laid(OCEAN, 90.0, 1000.0), 90.0, 60), 121.0)
    walked(far, outing=outing)
    assert outing.report().totals.distance_m == pytest.approx(way_m + 60 * PACE_MPS, abs=15.0)
    assert sum(point.begins for point in points(outing)) == 2


def test_another_rule_for_points_leaves_the_totals_alone_and_holds_after_a_reset() -> None:
    often, seldom = TrackRule(every_s=None, every_m=10.0, turn_deg=None), TrackRule(None, 50.0, None)
    outing = walked(OUT, outing=Outing(often))
    dense = len(points(outing))
    outing.use_rule(seldom)
    walked(ON, outing=outing)
    assert len(points(outing)) - dense < dense / 3
    assert outing.report().totals.distance_m == pytest.approx(OUT_M + ON_M, abs=15.0)
    assert outing.reset()
    walked(shifted(ON, 121.0), outing=outing)
    assert len(points(outing)) < dense / 3
