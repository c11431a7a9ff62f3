"""A doubtful position: every plausible reading of what was heard, the likeliest first.

What goes wrong is known (trade facts of the project, section d): decimal degrees given and degrees, minutes, seconds
entered; decimals of a minute heard as seconds; degrees for minutes; latitude and longitude swapped; a sign or a
hemisphere lost; a digit dropped, doubled or exchanged; fifteen for fifty, five for nine; letters of a square misheard.
Each slip, and each with a lost or swapped hemisphere, is undone here; whatever is a place then is weighed by how far it
is from where the other ought to be and by how odd the slip is. A guess, never a measurement: ask again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import dist
from typing import NamedTuple

from core.errors import InputError
from core.fix import Position
from core.heard_numbers import NOT_SAID, Half, halves_of, number_slips, part_slips, places
from core.heard_squares import square_slips
from core.place_list import ecef_m
from core.places.geodesic import distance_m
from core.report_speech import MAX_CHARACTERS, heard

PLACE_REACH_M, TRAIL_REACH_M = 2000.0, 100.0
"""So far from a known place, or from a trail, the other may well be: within it distance hardly counts, and the less odd
slip wins (common practice, no source). Slips that move a place by less than that cannot be told from none."""
MOST = 12
"""Readings that are worth looking at."""
TWICE = 2.0
"""Two slips at once are odder than each alone, though one hand may do both."""
AS_HEARD = "as it was heard"
_SAME_DEG = 1e-9
_FEW = 256
"""Points of a trail that are tried; then those around the nearest of them."""


class HeardReading(NamedTuple):
    """One plausible reading."""

    position: Position
    how: str
    """How it was read, in plain words."""
    oddness: float
    """1 for what was heard as it stands; the larger, the less likely is the slip (common practice, no source)."""
    distance_m: float | None = None
    """From what it is weighed against; None where nothing is known."""

    def weight(self, reach_m: float) -> float:
        """The smaller, the likelier."""
        return self.oddness * (reach_m + (self.distance_m or 0.0))


def resolve_heard(text: str, near: Sequence[Position] = (), radius_m: float = 0.0) -> list[HeardReading]:
    """The likeliest readings, at most `MOST`.

    `near`: a known place, or the points of a trail, in order; none: by the slips alone. `radius_m`: how coarsely the
    place is known. Raises InputError where nothing in the text can be a place.
    """
    found = _distinct(all_readings(text))
    if not found:
        raise InputError(
            f"nothing in this can be a position: write what you heard in figures or words (at most {MAX_CHARACTERS} "
            "characters), for example 10 30.5 N 20 15.25 W, or one zero decimal five north"
        )
    way = _Nearest(near, radius_m) if near else None
    weighed = [one._replace(distance_m=way.distance_m(one.position)) if way else one for one in found]
    reach_m = TRAIL_REACH_M if len(near) > 1 else PLACE_REACH_M
    return sorted(weighed, key=lambda one: one.weight(reach_m))[:MOST]


def all_readings(text: str) -> Iterator[HeardReading]:
    """Every reading, doubles included."""
    taken = heard(text)
    for position, how, oddness in square_slips(taken):
        yield HeardReading(position, how or AS_HEARD, oddness)
    for latitude, longitude in halves_of(taken.pieces):
        yield from _of_halves(latitude, longitude)


def _of_halves(latitude: Half, longitude: Half) -> Iterator[HeardReading]:
    """Notation, order and hemispheres undone together; a wrong digit only together with hemispheres."""
    orders = [((latitude, longitude), "", 1.0), ((longitude, latitude), "latitude and longitude swapped", 2.0)]
    for (first, second), swapped, odd in orders:
        for parts, how, oddness in part_slips(first.parts, second.parts):
            yield from _signed((first, second), parts, (how, swapped), oddness * odd)
    for parts, how, oddness in number_slips(latitude.parts, longitude.parts):
        yield from _signed((latitude, longitude), parts, (how,), oddness)


def _signed(
    halves: tuple[Half, Half], parts: tuple[tuple[str, ...], tuple[str, ...]], how: Iterable[str], oddness: float
) -> Iterator[HeardReading]:
    for position, lost, odd in places(halves, parts):
        words = [one for one in (*how, lost) if one]
        twice = TWICE if min(oddness, odd) > NOT_SAID else 1.0
        yield HeardReading(position, "; ".join(words) or AS_HEARD, oddness * odd * twice)


def _distinct(found: Iterable[HeardReading]) -> list[HeardReading]:
    """Of readings of one point the least odd."""
    kept: dict[tuple[int, int], HeardReading] = {}
    for one in found:
        key = (round(one.position[0] / _SAME_DEG), round(one.position[1] / _SAME_DEG))
        if key not in kept or one.oddness < kept[key].oddness:
            kept[key] = one
    return list(kept.values())


class _Nearest:
    """How far a place is from a trail: a few of its points by the chord, those around the nearest exactly."""

    def __init__(self, near: Sequence[Position], radius_m: float) -> None:
        """`radius_m`: what is within the coarseness of the known place is no distance."""
        self._near, self._radius_m = near, radius_m
        self._step = max(1, len(near) // _FEW)
        self._coarse = [ecef_m(one) for one in near[:: self._step]]

    def distance_m(self, position: Position) -> float:
        from_here = ecef_m(position)
        chords = [dist(from_here, one) for one in self._coarse]
        at = chords.index(min(chords)) * self._step
        around = self._near[max(0, at - self._step) : at + self._step + 1]
        nearest = min(around, key=lambda one: dist(from_here, ecef_m(one)))
        return max(0.0, distance_m(position, nearest) - self._radius_m)
