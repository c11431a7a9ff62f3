"""A remembered route: by name and place, and honest where that no longer tells. Names and places are invented."""

from __future__ import annotations

import pytest

from core.fix import Position
from core.route_memory import follow, recalled, written
from core.waypoint import Waypoint

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
