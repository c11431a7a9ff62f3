"""Marking: what a fix makes a waypoint of, how it is numbered, and why it is refused."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from datetime import UTC, date, datetime
from typing import Any

import pytest

from core.errors import InputError
from core.fix import Fix, FixMode, Position, Utc
from core.marks import KINDS, free_name, mark_here
from core.waypoints import NAME_LIMIT, Waypoint

PLACE = Position(10.5, -20.25)
NOON = Utc(12 * 3_600_000 + 34 * 60_000, date(2031, 5, 4))


def fix(mode: FixMode = FixMode.AUTONOMOUS, position: Position | None = PLACE, utc: Utc | None = None) -> Fix:
    return Fix(utc=utc, position=position, mode=mode, altitude_m=12.5)


def test_a_mark_holds_number_time_place_height_error_and_mode() -> None:
    moment = datetime(2031, 5, 4, 12, 34, tzinfo=UTC)
    expected = Waypoint("Mark 1 12:34 UTC", PLACE, 12.5, moment, "", "mark", 3.5, "autonomous")
    assert mark_here(fix(utc=NOON), 3.5, ()) == expected


def test_without_a_date_there_is_no_time_and_without_a_time_the_name_says_so() -> None:
    assert mark_here(fix(utc=NOON._replace(day=None)), None, ()).time is None
    assert mark_here(fix(), None, ()).name == "Mark 1 no time"


@pytest.mark.parametrize("error_m", [None, math.nan, math.inf, -1.0])
def test_an_error_that_is_none_is_unknown(error_m: float | None) -> None:
    assert mark_here(fix(), error_m, ()).error_95_m is None


@pytest.mark.parametrize("mode", ["autonomous", "differential", "precise", "rtk_fixed", "rtk_float"])
def test_the_mode_is_kept(mode: str) -> None:
    assert mark_here(fix(FixMode(mode)), 0.0, ()).mode == mode


@pytest.mark.parametrize(
    ("taken", "number"),
    [
        (("Mark 1 09:00 UTC", "Mark 2 09:01 UTC"), 3),
        (("Mark 2 09:01 UTC",), 1),
        (("Mark 1 09:00 UTC", "Mark 3 09:01 UTC"), 2),
        (("Mark 10 09:00 UTC",), 1),
        (("Mark 1",), 2),
        (("Camp", "", "mark 1 09:00", "Marking 1 09:00", "Mark 01 09:00", "Mark 1st", "Mark ١ 09:00", "Mark 1\n"), 1),
        (("Mark " + "9" * 5000 + " 09:00", "Mark -1 09:00", "Mark 0 09:00"), 1),
        (tuple(f"Mark {n} 09:00 UTC" for n in range(1, 13)), 13),
    ],
)
def test_numbers_are_not_given_twice(taken: tuple[str, ...], number: int) -> None:
    assert mark_here(fix(utc=NOON), None, taken).name == f"Mark {number} 12:34 UTC"


class Counting(Collection[str]):
    """Ten thousand names that count how often they are gone through."""

    def __init__(self) -> None:
        self.names = [f"Mark {n} 09:00 UTC" for n in range(1, 10_001)]
        self.rounds = 0

    def __iter__(self) -> Iterator[str]:
        self.rounds += 1
        return iter(self.names)

    def __len__(self) -> int:
        return len(self.names)

    def __contains__(self, name: object) -> bool:
        self.rounds += 1
        return name in self.names


def test_ten_thousand_names_are_gone_through_once() -> None:
    taken = Counting()
    assert mark_here(fix(utc=NOON), None, taken).name == "Mark 10001 12:34 UTC"
    assert taken.rounds == 1


def test_a_free_name_of_another_stem() -> None:
    assert free_name("Place", ()) == "Place 1"
    assert free_name("Place", ("Place 1", "Place 2 by the lake", "Mark 3")) == "Place 3"
    assert free_name("a.c*", ("abc 1", "a.c* 1")) == "a.c* 2"


REFUSED: list[tuple[Fix, str]] = [
    (fix(position=None), "there is no position"),
    (Fix(), "there is no position"),
    (fix(FixMode.ESTIMATED), "estimated, not measured"),
    (fix(FixMode.MANUAL), "typed into the receiver"),
    (fix(FixMode.SIMULATED), "simulates"),
    (fix(FixMode.NONE), "gives no position"),
]


@pytest.mark.parametrize(("nothing", "why"), REFUSED)
def test_without_a_satellite_fix_nothing_is_marked(nothing: Any, why: str) -> None:
    with pytest.raises(InputError, match=f"no satellite fix, .*{why}.*until there is one"):
        mark_here(nothing, 1.0, ())


def test_kinds_are_distinct_plain_words() -> None:
    assert len(set(KINDS)) == len(KINDS)
    assert all(kind.isascii() and kind.isalpha() and kind.islower() and len(kind) <= NAME_LIMIT for kind in KINDS)
    assert mark_here(fix(), None, ()).kind in KINDS
