"""Where to turn the beam: from one place to another, by three norths, short and long path, and by the sun.

What decides whether a bearing can be used is how coarsely both ends were given, against the width of the beam: half
a beamwidth is taken as the limit (trade-facts, section i: a calculation).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import NamedTuple

from core.fix import Position
from core.places.containment import bearing_uncertainty_deg, corner_radius_m, square
from core.places.contest import contest_km
from core.places.geodesic import MERIDIAN_ROUND_M, way
from core.places.locator import locator
from core.places.norths import Bearings, Norths, norths_at
from core.places.sun import SunPosition, sun_position
from core.sun_crossing import HIGHEST_DEG, Crossing, sun_crossings

CHARACTERS = (4, 6, 8)
"""Lengths of locators that a station can be asked for."""
SAME_SPOT_M = 1.0


class End(NamedTuple):
    """One end of the path."""

    name: str
    position: Position
    radius_m: float | None = None
    """How far off the true place may be; None: not known."""


class Path(NamedTuple):
    """One way round."""

    distance_m: float
    bearings: Bearings
    """At this end."""


class Fineness(NamedTuple):
    """What a locator of so many characters does to the bearing."""

    characters: int
    uncertainty_deg: float
    """Worst case, with the far end so coarse and this end as it is known; 180: no direction."""


@dataclass(frozen=True, slots=True)
class BeamSheet:
    """All that goes on the screen or the paper."""

    start: End
    end: End
    at: datetime
    """UTC: of declination and sun."""
    short: Path | None
    """None where both are one spot."""
    long: Path | None
    """Directions are the opposite ones; the distance is what is left of a meridian's round."""
    back: Bearings | None
    """From the other end to here."""
    contest_km: float
    """Between the middles of the sub-squares, on the contests' sphere."""
    locators: tuple[str, str]
    """Of 8 characters."""
    uncertainty_deg: float | None
    """Of the short path's bearing as both ends are known; None where one is not."""
    fineness: tuple[Fineness, ...]
    norths: Norths
    sun: SunPosition
    crossings: tuple[Crossing, ...]
    """When within a day the sun stands on the short path's bearing or opposite."""

    def needed(self, beamwidth_deg: float) -> int | None:
        """Characters of the far end's locator that this beamwidth needs; None where even 8 are too coarse."""
        return next((one.characters for one in self.fineness if one.uncertainty_deg <= beamwidth_deg / 2), None)

    @property
    def from_sun_deg(self) -> float | None:
        """How far right of the sun the beam goes, -180 to below 180; None where the sun is no use at this moment."""
        if self.short is None or not 0.0 < self.sun.elevation_deg <= HIGHEST_DEG:
            return None
        return (self.short.bearings.true_deg - self.sun.azimuth_deg + 180.0) % 360.0 - 180.0


def beam_sheet(start: End, end: End, at: datetime) -> BeamSheet:
    """`at`: with a zone. Raises ValueError without one, or for a year that the sun's series does not hold in."""
    at = at.astimezone(UTC)
    line = way(start.position, end.position)
    here, there = norths_at(start.position, at.date()), norths_at(end.position, at.date())
    apart = line.distance_m >= SAME_SPOT_M
    bearing_deg = line.initial_bearing_deg
    return BeamSheet(
        start,
        end,
        at,
        Path(line.distance_m, here.bearings(bearing_deg)) if apart else None,
        Path(MERIDIAN_ROUND_M - line.distance_m, here.bearings(bearing_deg + 180.0)) if apart else None,
        there.bearings(line.final_bearing_deg + 180.0) if apart else None,
        contest_km(start.position, end.position),
        (locator(start.position, 8), locator(end.position, 8)),
        _uncertainty_deg(line.distance_m, start, end),
        tuple(_fineness(line.distance_m, start, end, count) for count in CHARACTERS),
        here,
        sun_position(start.position, at),
        sun_crossings(start.position, at, bearing_deg) if apart else (),
    )


def _uncertainty_deg(distance_m: float, start: End, end: End) -> float | None:
    if start.radius_m is None or end.radius_m is None:
        return None
    return bearing_uncertainty_deg(distance_m, start.radius_m, end.radius_m)


def _fineness(distance_m: float, start: End, end: End, characters: int) -> Fineness:
    """This end as it is known, or, where it is not, as coarse as the other."""
    far_m = corner_radius_m(square(end.position, characters))
    near_m = far_m if start.radius_m is None else start.radius_m
    return Fineness(characters, bearing_uncertainty_deg(distance_m, near_m, far_m))
