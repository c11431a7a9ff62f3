"""A trip worked out before leaving: every place, leg and light of it, for a sheet of paper.

The figures are those of the rest of the house: `core.places` for forms, directions and the sun, `core.sheet_turn` for
walking. `core.sheet_sections` writes them down. Legs are straight lines (geodesics); directions of a leg are those of
its two ends, each with the declination and the grid of its own end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import NamedTuple

from core.before_dark import RESERVE, Reserve
from core.errors import InputError
from core.fix import Position
from core.pace import Pace
from core.places.containment import bearing_uncertainty_deg
from core.places.convergence import Convergence, convergence, grid_from_true
from core.places.geodesic import way
from core.places.magnetic import Declination, declination, magnetic_from_true
from core.places.norths import Bearings
from core.places.sun import DayKind, SunDay, SunPosition, solar_date, sun_day, sun_position
from core.sheet_time import FIRST_YEAR, LAST_YEAR, Zone
from core.sheet_turn import Climb, Light, Turn, least_climb, turns, walk

MOST_PLACES = 99
"""Their numbers have two figures on the sheet."""
SUN_HOURS = 24
SAME_SPOT_M = 20.0
"""The smallest radius of arrival (trade-facts.md f): nearer, one is there."""


class Place(NamedTuple):
    """One place as it was given."""

    name: str
    position: Position
    radius_m: float | None = None
    """How far off the true place may be, by how it was given; None is not known."""
    altitude_m: float | None = None
    """Above mean sea level."""


@dataclass(frozen=True, slots=True)
class Outing:
    """When and how one goes."""

    day: date
    """By the clocks of `zone`, 1901 to 2099."""
    zone: Zone
    depart: time | None = None
    own: Pace | None = None
    """The walker's; None goes by Naismith's rule."""
    climbs: tuple[Climb, ...] = ()
    """Of the first legs; of any other it is not known."""
    reserve: Reserve = RESERVE

    @property
    def departure(self) -> datetime | None:
        """UTC. Raises InputError where clocks skip that time."""
        return None if self.depart is None else self.zone.moment(self.day, self.depart)

    @property
    def middle(self) -> datetime:
        """A moment of the light that is meant, UTC: the departure, else the middle of the day by the zone's clocks.

        By the clocks and not by date alone: far from its zone a place has another day's light at the same time.
        """
        return self.departure or self.zone.moment(self.day, time(12))


class Line(NamedTuple):
    """Straight from one place to another."""

    distance_m: float
    there: Bearings | None
    """At the beginning; None where both are one spot."""
    back: Bearings | None
    """From the end back to the beginning."""
    uncertainty_deg: float | None
    """Either way, by how coarsely both were given; 180: it has no direction. None where that is not known."""
    radius_m: float | None
    """The distance may be off by so much for the same reason."""


class Spot(NamedTuple):
    """What holds at one place on the day."""

    place: Place
    declination: Declination | None
    """None where the model does not hold on this day."""
    grid: Convergence
    light: SunDay
    noon_sun: SunPosition


@dataclass(frozen=True, slots=True)
class TripSheet:
    """All that goes on the paper."""

    spots: tuple[Spot, ...]
    target: Spot | None
    outing: Outing
    legs: tuple[Line, ...]
    """From each place to the next."""
    to_target: tuple[Line, ...]
    """From each place, empty without a target."""
    climbs: tuple[Climb | None, ...]
    """Of each leg; None is not known."""
    turns: tuple[Turn, ...]
    departing_sun: SunPosition | None
    """At the first place; None without a time of departure."""
    sun_by_hour: tuple[tuple[datetime, SunPosition], ...]
    """At the first place, UTC, at the full hours by the zone's clocks while the sun is up."""


def trip_sheet(places: Sequence[Place], target: Place | None, outing: Outing) -> TripSheet:
    """Raises InputError for no places or too many, a year out of range, more climbs than legs."""
    _check(places, outing)
    spots = tuple(_spot(place, outing) for place in places)
    goal = None if target is None else _spot(target, outing)
    legs = tuple(_line(one, other) for one, other in pairwise(spots))
    climbs = tuple(_climb(outing, number, spots) for number in range(len(legs)))
    walks = tuple(walk(leg.distance_m, climb, outing.own) for leg, climb in zip(legs, climbs, strict=True))
    lights = [_as_light(spot, places[0]) for spot in spots]
    departure = outing.departure
    start = places[0].position
    return TripSheet(
        spots,
        goal,
        outing,
        legs,
        () if goal is None else tuple(_line(spot, goal) for spot in spots),
        climbs,
        turns(walks, lights, outing.reserve, departure),
        None if departure is None else sun_position(start, departure),
        tuple(_hours(start, spots[0].light.noon, outing.zone)),
    )


def compass_works(found: Declination | None) -> bool:
    """Whether a magnetic bearing may be given at all."""
    return found is not None and found.zone != "blackout"


def _check(places: Sequence[Place], outing: Outing) -> None:
    if not 1 <= len(places) <= MOST_PLACES:
        raise InputError(f"a trip sheet holds 1 to {MOST_PLACES} places, not {len(places)}: make several")
    if not FIRST_YEAR <= outing.day.year <= LAST_YEAR:
        raise InputError(f"the sun is known from {FIRST_YEAR} to {LAST_YEAR}, not in {outing.day.year}")
    legs = len(places) - 1
    if len(outing.climbs) > legs:
        raise InputError(f"{len(outing.climbs)} climbs are given for {legs} legs: one for each leg, in order")


def _as_light(spot: Spot, start: Place) -> Light:
    day, here = spot.light, spot.place
    is_home = way(here.position, start.position).distance_m <= SAME_SPOT_M
    return Light(here.position, day.noon, day.civil_dawn, day.civil is DayKind.BELOW, is_home)


def _climb(outing: Outing, leg: int, spots: Sequence[Spot]) -> Climb | None:
    """As it was told, else at the least what the heights of its ends tell."""
    if leg < len(outing.climbs):
        return outing.climbs[leg]
    return least_climb(spots[leg].place.altitude_m, spots[leg + 1].place.altitude_m)


def _spot(place: Place, outing: Outing) -> Spot:
    light = sun_day(place.position, solar_date(place.position, outing.middle))
    found = declination(place.position, outing.day)
    return Spot(
        place,
        found if found.valid else None,
        convergence(place.position),
        light,
        sun_position(place.position, light.noon),
    )


def _line(start: Spot, end: Spot) -> Line:
    found = way(start.place.position, end.place.position)
    there = found.distance_m > 0.0
    return Line(
        found.distance_m,
        bearings(start, found.initial_bearing_deg) if there else None,
        bearings(end, (found.final_bearing_deg + 180.0) % 360.0) if there else None,
        *_coarseness(found.distance_m, start.place.radius_m, end.place.radius_m),
    )


def _coarseness(distance_m: float, one_m: float | None, other_m: float | None) -> tuple[float | None, float | None]:
    """How far bearing and distance may be off, None where one end does not say how well it is known."""
    if one_m is None or other_m is None:
        return None, None
    return bearing_uncertainty_deg(distance_m, one_m, other_m), one_m + other_m


def bearings(spot: Spot, true_deg: float) -> Bearings:
    """A true direction at a place by the other norths."""
    north = spot.declination
    magnetic = magnetic_from_true(true_deg, north) if north is not None and compass_works(north) else None
    return Bearings(true_deg, magnetic, grid_from_true(true_deg, spot.grid))


def _hours(start: Position, noon: datetime, zone: Zone) -> list[tuple[datetime, SunPosition]]:
    """Full hours by the wall clock, from half a day before the sun's noon to half a day after."""
    first = noon - timedelta(hours=SUN_HOURS / 2)
    local = zone.local(first)
    past = timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)
    first += -past % timedelta(hours=1)
    moments = (first + timedelta(hours=number) for number in range(SUN_HOURS))
    found = ((moment, sun_position(start, moment)) for moment in moments)
    return [(moment, sun) for moment, sun in found if sun.elevation_deg >= 0.0]
