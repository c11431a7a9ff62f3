"""Walking times of a trip sheet, and when to turn back at each of its places.

By Naismith's rule over straight lines (`core.pace`), against the end of the light (`core.before_dark`). Home is the
first place: back the way one came, or on by the places to come where they lead home sooner. The light that counts is
the earlier of two: where one turns, and at home.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import accumulate
from typing import NamedTuple

from core.before_dark import Countdown, Reserve, countdown
from core.errors import InputError
from core.fix import Position
from core.pace import Estimate, Pace, time_back
from core.shown import shown

MOST_CLIMB_M = 9000.0
"""More than the highest mountain has (8,849 m, from memory) is a slip of the finger."""


class Climb(NamedTuple):
    """Of one leg, in the direction of the trip."""

    up_m: float
    down_m: float | None = None
    """None is not known."""
    is_least: bool = False
    """By the heights of its ends alone."""


class Walk(NamedTuple):
    """One leg on foot."""

    there_s: float
    back_s: float


class Light(NamedTuple):
    """Of one place on the sheet's day, as far as turning back needs it."""

    position: Position
    noon: datetime
    """UTC."""
    dawn: datetime | None
    """Begin of civil twilight, UTC."""
    is_dark_all_day: bool = False
    """Without even civil twilight."""
    is_home: bool = False
    """Whether the place is the first one, or on the same spot."""


class Home(NamedTuple):
    """The way home from one place."""

    seconds: float
    is_onward: bool
    """By the places to come, not back."""


class Turn(NamedTuple):
    """What is to be known at one place before going on."""

    stop: int
    """Number of the place, from 0."""
    there_s: float
    """From the start to here, without stops."""
    home: Home
    countdown: Countdown
    """Of the light that ends first."""
    light_of: int
    """The place whose light that is."""
    dawn: datetime | None
    """When that light begins, UTC; None where it does not on this day."""
    latest_departure: datetime | None
    """From the start, to be here by the latest turn; None without one. UTC."""
    arrival: datetime | None
    """UTC; None where no departure was given."""

    @property
    def in_hand_s(self) -> float | None:
        """Between arrival and the latest turn; negative: too late by so much."""
        turn = self.countdown.latest_turn
        return None if turn is None or self.arrival is None else (turn - self.arrival).total_seconds()

    @property
    def is_too_far(self) -> bool:
        """Whether the way home takes more than the light of the day."""
        turn = self.countdown.latest_turn
        return turn is not None and self.dawn is not None and turn < self.dawn

    @property
    def fits_the_day(self) -> bool:
        """Whether the latest departure is in the light of the same day."""
        return self.latest_departure is not None and (self.dawn is None or self.latest_departure >= self.dawn)


def parse_climb(text: str) -> Climb:
    """`120`, or `120/30`: metres up and down. Raises InputError."""
    parts = text.split("/")
    try:
        figures = [float(part) for part in parts]
    except ValueError:
        figures = []
    if not 1 <= len(figures) <= 2 or not all(0.0 <= one <= MOST_CLIMB_M for one in figures):
        raise InputError(
            f"{shown(text)} is no climb: metres up, or up and down as 120/30, from 0 to {MOST_CLIMB_M:.0f}"
        )
    return Climb(figures[0], figures[1] if len(figures) == 2 else None)


def least_climb(from_m: float | None, to_m: float | None) -> Climb | None:
    """What a leg between these heights climbs or falls at the least; None where they are not known, or no heights."""
    if from_m is None or to_m is None or not abs(to_m - from_m) <= MOST_CLIMB_M:
        return None
    rise_m = to_m - from_m
    return Climb(max(0.0, rise_m), max(0.0, -rise_m), is_least=True)


def walk(distance_m: float, climb: Climb | None, own: Pace | None) -> Walk:
    """There and back over one leg; what goes up on the way there goes down on the way back."""
    up_m, down_m = (None, None) if climb is None else (climb.up_m, climb.down_m)
    return Walk(
        time_back(distance_m, up_m, down_m, own).seconds,
        time_back(distance_m, down_m, up_m, own).seconds,
    )


def turns(
    walks: Sequence[Walk], lights: Sequence[Light], reserve: Reserve, departure: datetime | None
) -> tuple[Turn, ...]:
    """One for each place but the first. `lights`: of every place; a departure is aware."""
    frame = (lights, reserve, departure)
    out_s = accumulate(one.there_s for one in walks)
    return tuple(
        _turn(stop, there_s, homeward(stop, walks, lights), frame) for stop, there_s in enumerate(out_s, start=1)
    )


def homeward(stop: int, walks: Sequence[Walk], lights: Sequence[Light]) -> Home:
    """The sooner way from a place: back to the nearest one that is home, or on to the next."""
    behind = next(at for at in range(stop, -1, -1) if at == 0 or lights[at].is_home)
    ahead = next((at for at in range(stop, len(lights)) if lights[at].is_home), None)
    back_s = sum(one.back_s for one in walks[behind:stop])
    onward_s = math.inf if ahead is None else sum(one.there_s for one in walks[stop:ahead])
    return Home(onward_s, is_onward=True) if onward_s < back_s else Home(back_s, is_onward=False)


_Frame = tuple[Sequence[Light], Reserve, datetime | None]


def _turn(stop: int, there_s: float, home: Home, frame: _Frame) -> Turn:
    lights, reserve, departure = frame
    both = [(at, _countdown(lights[at], home.seconds, reserve)) for at in (0, stop)]
    light_of, found = min(both, key=lambda one: _ends(lights[one[0]], one[1]))
    latest = found.latest_turn
    return Turn(
        stop,
        there_s,
        home,
        found,
        light_of,
        lights[light_of].dawn,
        None if latest is None else _shifted(latest, -there_s * reserve.factor),
        None if departure is None else _shifted(departure, there_s),
    )


def _countdown(light: Light, home_s: float, reserve: Reserve) -> Countdown:
    """Asked at noon: the evening to come is the deadline, also for who leaves before dawn."""
    return countdown(light.position, light.noon, Estimate(home_s, "", ()), reserve)


def _ends(light: Light, found: Countdown) -> tuple[int, float]:
    """For sorting: a day that is dark throughout first, then the earliest end, last a night without dark."""
    if found.deadline is not None:
        return 1, found.deadline.timestamp()
    return (0 if light.is_dark_all_day else 2), 0.0


def _shifted(moment: datetime, seconds: float) -> datetime:
    """No further than the calendar goes."""
    try:
        return moment + timedelta(seconds=seconds)
    except OverflowError:
        end = datetime.min if seconds < 0 else datetime.max
        return end.replace(tzinfo=moment.tzinfo)
