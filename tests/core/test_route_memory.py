"""A remembered route: by name and place, and honest where that no longer tells. Names and places are invented."""

from __future__ import annotations

from datetime import date

import pytest

from core.fix import Position, Utc
from core.route_memory import follow, recalled, trail_recalled, trail_written, written
from core.track_points import TrackPoint, TrackView
from core.waypoint import Waypoint

DAY = date(2031, 5, 4)
CAR, OTHER = Waypoint("Car", Position(10.51, -20.25)), Waypoint("Car", Position(10.4, -20.25))
FORD = Waypoint('Ford "of"\nQuennet', Position(10.5, -20.2))


def test_what_is_written_is_recalled_in_its_order() -> None:
    assert recalled(written((FORD, CAR)), (OTHER, CAR, FORD)).legs == (FORD, CAR)


def test_one_of_several_names_is_told_by_its_place_or_not_at_all() -> None:
    found = recalled(written((CAR, FORD)), (OTHER, Waypoint("Car", Position(10.6, -20.25)), FORD))
    assert found.legs == (FORD,)
    assert found.trouble == ("Car: gone, or one of several of that name",)


def test_the_only_one_of_its_name_may_have_moved() -> None:
    moved = Waypoint("Car", Position(10.52, -20.25))
    assert recalled(written((CAR,)), (moved, FORD)).legs == (moved,)
    assert follow(CAR, (moved, FORD)) == moved
    assert follow(CAR, (FORD,)) is None


@pytest.mark.parametrize("text", ["", "{", "3", "[3]", '[["a"]]', '[["a", "b", "c"]]', "[[1, 2, 3]]", "[" * 100_000])
def test_a_text_that_is_no_route_is_none(text: str) -> None:
    assert recalled(text, (CAR,)) == ((), ())


def test_a_radio_station_is_remembered_whole_and_follows_no_waypoint() -> None:
    hill = Waypoint("QX1AA", Position(10.5, -20.2), kind="station", error_95_m=4000.0)
    unknown = Waypoint("QX1AB", Position(-10.5, 179.5), kind="station")
    assert recalled(written((CAR, hill, unknown)), (CAR,)) == ((CAR, hill, unknown), ())
    assert follow(hill, (Waypoint("QX1AA", Position(0.0, 0.0)),)) is hill


@pytest.mark.parametrize(
    "row",
    [
        '["a", 91, 0, "station", 1]', '["a", 1, NaN, "station", 1]', '["a", 1, 2, "station", -1]',
        '["a", 1, 2, "x", 1]', '["a", 1, 2, "station", "far"]', '["a", 1, 2, "station", Infinity]',
    ],
)  # fmt: skip
def test_a_station_on_no_globe_is_no_leg(row: str) -> None:
    assert recalled(f"[{row}]", ()).legs == ()


def trail(count: int, minute: int = 0, day: date | None = DAY) -> TrackView:
    """A point a second."""
    times = [Utc((60 * minute + n) * 1000, day) for n in range(count)]
    points = [TrackPoint(Position(10.5 + n / 1e4, -20.25), 0.0, utc, None, n == 0) for n, utc in enumerate(times)]
    return TrackView(points, count)


def test_a_trail_is_known_again_when_it_has_grown() -> None:
    text = trail_written(trail(20))
    assert text == "20 2031-05-04T00:00:00Z 2031-05-04T00:00:19Z"
    assert trail_recalled(text, trail(20)) == 20
    assert trail_recalled(text, trail(50)) == 20


@pytest.mark.parametrize("other", [
    trail(19), trail(0), trail(50, minute=1), trail(50, day=date(2031, 5, 5)), trail(50, day=None),
    TrackView([*trail(19).points, *trail(9, minute=3).points], 28),
], ids=str)  # fmt: skip
def test_no_other_trail_is_taken_for_it(other: TrackView) -> None:
    assert trail_recalled(trail_written(trail(20)), other) == 0


@pytest.mark.parametrize("text", ["", " ", "20", "-3 a b", "9" * 5000, "٣ a b", "0", "20 x y"])
def test_a_text_that_is_no_trail_is_none(text: str) -> None:
    assert trail_recalled(text, trail(50)) == 0


def test_a_trail_without_dates_is_not_remembered() -> None:
    assert trail_written(trail(20, day=None)) == ""
    assert trail_written(trail(0)) == ""
