"""Doubtful positions resolve to the truth first: the cases of trade-facts.md d, and random slips with known truth."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import NamedTuple

import pytest
from geographiclib.geodesic import Geodesic

from core.errors import InputError
from core.fix import Position
from core.heard_position import AS_HEARD, MOST, HeardReading, resolve_heard
from core.places.geodesic import distance_m
from core.places.locator import box, locator
from core.places.mgrs import mgrs, square
from core.places.notation import Notation, write


def truth_of(text: str) -> Position:
    degrees, minutes, side, degrees_east, minutes_east, side_east = text.split()
    north = int(degrees) + float(minutes) / 60
    east = int(degrees_east) + float(minutes_east) / 60
    return Position(-north if side == "S" else north, -east if side_east == "W" else east)


def nearby(spot: Position, metres: float, bearing: float = 40.0) -> Position:
    line = Geodesic.WGS84.Direct(*spot, bearing, metres)
    return Position(line["lat2"], line["lon2"])


def first(text: str, near: Position) -> HeardReading:
    return resolve_heard(text, (near,))[0]


class Case(NamedTuple):
    """What was said, what was heard, and words of how it came about."""

    truth: str
    heard: str
    how: str
    known_m: float = 1500.0
    """How far from the truth the known place is; 0: it is on a known trail."""


CASES = {
    # Decimal degrees were given, degrees, minutes, seconds entered (S34): 10.5234 as 10 52 34.
    "decimal degrees as sixtieths": Case("10 31.404 N 20 15.432 W", "10 52 34 N 20 25 72 W", "decimal degrees"),
    # dd.dddd heard as dd dd.dd: up to 44 km.
    "decimal degrees as minutes": Case("10 31.404 N 20 15.432 W", "10 52.34 N 20 25.72 W", "decimal degrees"),
    # .ff minutes heard as ff seconds: up to 730 m.
    "decimals as seconds": Case("10 30.95 N 20 15.90 W", "10 30 95 N 20 15 90 W", "decimals of a minute"),
    "decimals as possible seconds": Case("10 30.05 N 20 15.10 W", "10 30 05 N 20 15 10 W", "decimals", 0.0),
    "minutes as decimal degrees": Case("10 30.50 N 20 15.25 W", "10.3050 N 20.1525 W", "minutes"),
    "seconds as decimals": Case("10 30.75 N 20 15.25 W", "10 30.45 N 20 15.15 W", "seconds", 0.0),
    "swapped": Case("10 30.50 N 20 15.25 W", "20 15.25 N 10 30.50 W", "swapped"),
    "swapped with its letters": Case("10 30.50 S 20 15.25 W", "20 15.25 W 10 30.50 S", AS_HEARD),
    "lost sign": Case("10 30.50 N 20 15.25 W", "10.508333 20.254167", "west, which was not said"),
    "wrong hemisphere": Case("10 30.50 S 20 15.25 W", "10 30.50 N 20 15.25 W", "south for north"),
    "dropped zero, ten-fold": Case("10 30.50 N 20 15.25 W", "10 30.50 N 2 15.25 W", "dropped"),
    "fifteen and fifty": Case("10 30.50 N 20 15.25 W", "10 30.50 N 20 50.25 W", "sound alike"),
    "thirty and thirteen": Case("10 30.50 N 20 15.25 W", "10 13.50 N 20 15.25 W", "sound alike"),
    "five and nine": Case("10 30.50 N 25 15.25 W", "10 30.50 N 29 15.25 W", "sound alike"),
    "dropped digit": Case("10 33.50 N 20 15.25 W", "10 3.50 N 20 15.25 W", "dropped"),
    "doubled digit": Case("10 30.50 N 20 05.25 W", "10 30.50 N 220 05.25 W", "doubled"),
    "exchanged digits": Case("10 30.50 N 20 15.25 W", "10 30.50 N 20 51.25 W", "exchanged"),
    "run together": Case("10 30.50 N 20 15.25 W", "1030.50 N 02015.25 W", "run together"),
    "in words": Case(
        "10 30.50 N 20 15.25 W", "ten degrees thirty decimal five zero, twenty degrees fifty decimal two five", "alike"
    ),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_the_known_misreadings_resolve_to_the_truth_first(case: Case) -> None:
    truth = truth_of(case.truth)
    for bearing in (0.0, 90.0, 200.0):
        near = nearby(truth, case.known_m, bearing)
        found = resolve_heard(case.heard, (near,) if case.known_m else _trail_through(truth, bearing))[0]
        assert distance_m(found.position, truth) < 10.0, found
        assert case.how in found.how


def _trail_through(spot: Position, bearing: float) -> list[Position]:
    """Straight, 15 m beside the spot, a point every 20 m, 100 m to both sides."""
    beside = nearby(spot, 15.0, bearing + 90.0)
    return [nearby(beside, 20.0 * n, bearing) for n in range(-5, 6)]


def test_what_is_right_stays_first_as_it_was_heard() -> None:
    truth = truth_of("10 30.50 N 20 15.25 W")
    degrees = ("10.508333 N 20.254167 W", "N 10.508333, W 20.254167", "10.508333 -20.254167")
    for text in ("10 30.50 N 20 15.25 W", "10 30 30 N 20 15 15 W", *degrees):
        found = first(text, nearby(truth, 800.0))
        assert found.how == AS_HEARD
        assert distance_m(found.position, truth) < 1.0
        assert found.distance_m == pytest.approx(800.0, abs=1.0)


def test_wrong_letters_of_a_square_resolve_to_the_truth() -> None:
    """Letters of the 100 km square misheard: 100 km off and more."""
    truth = square("27P WM 8160 6079")
    assert truth is not None
    near = nearby(truth.centre, 2000.0)
    for heard in ("27P WN 8160 6079", "27P VM 8160 6079", "27B WM 8160 6079", "27P WM 6079 8160", "27P MW 8160 6079"):
        assert distance_m(first(heard, near).position, truth.centre) < 1.0, heard
    dropped = resolve_heard("27P WM 8160 679", (nearby(truth.centre, 100.0),))
    assert distance_m(dropped[0].position, truth.centre) < 1.0
    assert first("27P WM 8160 6079", near).how == AS_HEARD


def test_a_misheard_letter_of_a_locator_resolves_to_the_truth() -> None:
    truth = box("HK90UM90").centre
    near = nearby(truth, 500.0)
    for heard in (
        "HK90UN90",
        "HJ90UM90",
        "HK50UM90",
        "HK90MU90",
        "KH09MU09",
        "hotel kilo nine zero uniform november 90",
    ):
        assert distance_m(first(heard, near).position, truth) < 1.0, heard


def test_without_a_known_place_the_least_odd_is_first_and_there_is_no_distance() -> None:
    found = resolve_heard("10 30.50 N 20 15.25 W")
    assert (found[0].how, found[0].distance_m) == (AS_HEARD, None)
    assert len(found) == MOST
    assert [one.oddness for one in found] == sorted(one.oddness for one in found)


def test_a_trail_is_as_good_as_a_place_wherever_on_it_the_other_is() -> None:
    """A walk of 20 km, a point every 20 m, bending; the truth is beside its middle."""
    start = Position(10.4, -20.3)
    trail = [Position(start[0] + n * 0.00018, start[1] + 0.02 * ((n / 100) % 1.0)) for n in range(1000)]
    truth = nearby(trail[613], 60.0)
    text = "  ".join(write(truth, Notation.DECIMAL, 4)).replace("°", "").replace(".", " ")
    found = resolve_heard(text, trail)[0]
    assert distance_m(found.position, truth) < 20.0
    exact = min(distance_m(found.position, point) for point in trail)
    assert found.distance_m == pytest.approx(exact, abs=0.5)


def test_what_is_within_the_coarseness_of_the_known_place_is_no_distance() -> None:
    truth = truth_of("10 30.50 N 20 15.25 W")
    (found, *_) = resolve_heard("10 30.50 N 20 15.25 W", (nearby(truth, 3000.0),), 4000.0)
    assert found.distance_m == 0.0


NO_PLACES = ("", "hello", "10", "10 N", "95 W", "\x1b[2J", "9" * 5000, "1 2 3 4 5 6 7 N", "27P WM 8", ".")


@pytest.mark.parametrize("text", NO_PLACES)
def test_what_can_be_no_place_is_said_and_never_fails(text: str) -> None:
    with pytest.raises(InputError, match="nothing in this can be a position"):
        resolve_heard(text)


def test_every_reading_is_a_place_and_none_comes_twice() -> None:
    for text in ("89 59.99 N 179 59.99 W", "0 0 N 0 0 E", "90 N 180 E", "-0.5 -179.5"):
        found = resolve_heard(text)
        assert all(abs(one.position[0]) <= 90 and abs(one.position[1]) <= 180 for one in found)
        assert len({(round(one.position[0], 7), round(one.position[1], 7)) for one in found}) == len(found)


# Truth known, slip at random

Slip = Callable[[str, random.Random], str]


def _spoilt(spot: Position, chance: random.Random) -> str:
    """As a listener might write it down: one slip of those that matter, on a position of 0.01'."""
    latitude, longitude = (
        half.replace("°", "").replace("'", "").split() for half in write(spot, Notation.DEGREES_MINUTES, 2)
    )
    kind = chance.randrange(5)
    if kind == 0:
        latitude[2] = {"N": "S", "S": "N"}[latitude[2]]
    elif kind == 1:
        latitude[:2], longitude[:2] = longitude[:2], latitude[:2]
    elif kind == 2:
        half = chance.choice((latitude, longitude))
        half[0] = half[0][:-1] + chance.choice([one for one in "0123456789" if one != half[0][-1]])
    elif kind == 3:
        half = chance.choice((latitude, longitude))
        half[1] = half[1][0] + half[1][2:] if half[1][0] != half[1][1] else half[1][1:]
    else:
        decimal = [half.replace("°", "").split() for half in write(spot, Notation.DECIMAL, 4)]
        for half, (value, side) in zip((latitude, longitude), decimal, strict=True):
            whole, digits = value.split(".")
            half[:] = [whole, f"{digits[:2]}.{digits[2:]}", side]
    return " ".join([*latitude, *longitude])


def test_nine_times_of_ten_a_random_slip_resolves_to_the_truth_within_a_kilometre_of_a_known_place() -> None:
    chance = random.Random(2031)
    right = 0
    for _ in range(200):
        spot = Position(round(chance.uniform(-80, 80), 4), round(chance.uniform(-179, 179), 4))
        near = nearby(spot, chance.uniform(50, 1000), chance.uniform(0, 360))
        found = first(_spoilt(spot, chance), near)
        right += distance_m(found.position, spot) < 25.0
    assert right >= 180


def test_and_so_does_a_misheard_letter_of_a_grid_or_a_locator() -> None:
    chance = random.Random(8)
    right = 0
    for _ in range(12):
        spot = Position(chance.uniform(-75, 75), chance.uniform(-179, 179))
        text = mgrs(spot, 4).replace(" ", "")
        at = len(text) - 9  # the second letter of the square
        spoilt = text[:at] + ("V" if text[at] != "V" else "T") + text[at + 1 :]
        found = first(spoilt, nearby(spot, 1000.0))
        right += distance_m(found.position, spot) < 15.0
        named = locator(spot, 8).upper()
        spoilt = ("A" if named[0] != "A" else "F") + named[1:]
        found = first(spoilt, nearby(spot, 1000.0))
        right += distance_m(found.position, spot) < 800.0
    assert right >= 23
