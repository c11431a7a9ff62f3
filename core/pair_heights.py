"""Whether two heights may be subtracted: only where both are known to count from the same surface.

GGA gives the height above mean sea level by the receiver's own table of the geoid, and beside it the separation of
geoid and ellipsoid from that table (NMEA 0183). Two tables may differ by metres, so where both separations are told,
the heights above the ellipsoid are compared, in which the tables cancel. A separation of exactly 0.0 is how receivers
without a table fill the field: what they call altitude is then the height above the ellipsoid, or is not, and nobody
can tell (common practice, no source), so it is not compared. Nor is the height of somebody's track: GPX 1.1 does not
say what `ele` counts from, GeoJSON means the ellipsoid (RFC 7946, section 4), KML the sea (OGC KML 2.2).
"""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple

from core.series import Place


class Level(Enum):
    """What a height is known to count from."""

    ELLIPSOID = "above the ellipsoid"
    """And above mean sea level too: both can be had."""
    SEA = "above mean sea level"
    UNCLEAR = "perhaps above the ellipsoid (its geoid separation is 0)"
    FILE = "above what its file does not say"
    NONE = "not at all"


class Rise(NamedTuple):
    """B's height minus A's."""

    up_m: float | None
    words: str
    """What it is counted from, or why there is none."""


def rise(a: Place, b: Place, tracks: tuple[bool, bool] = (False, False)) -> Rise:
    """The difference of two heights. `tracks`: whether A, and B, is somebody's track and no receiver."""
    levels = tuple(level(place, is_track=track) for place, track in zip((a, b), tracks, strict=True))
    if set(levels) == {Level.ELLIPSOID}:
        return Rise(_ellipsoidal(b) - _ellipsoidal(a), Level.ELLIPSOID.value)
    if set(levels) <= {Level.ELLIPSOID, Level.SEA}:
        return Rise((b.altitude_m or 0.0) - (a.altitude_m or 0.0), f"{Level.SEA.value}, by each one's own geoid")
    return Rise(None, _why_not(levels))


def level(place: Place, *, is_track: bool) -> Level:
    """What this height counts from."""
    if place.altitude_m is None:
        return Level.NONE
    if is_track:
        return Level.FILE
    if place.geoid_separation_m is None:
        return Level.SEA
    return Level.UNCLEAR if place.geoid_separation_m == 0.0 else Level.ELLIPSOID


def _ellipsoidal(place: Place) -> float:
    return (place.altitude_m or 0.0) + (place.geoid_separation_m or 0.0)


def _why_not(levels: tuple[Level, ...]) -> str:
    if Level.NONE in levels:
        silent = [name for name, one in zip("AB", levels, strict=True) if one is Level.NONE]
        return "neither gives a height" if len(silent) == 2 else f"{silent[0]} gives no height"
    if levels[0] is levels[1]:
        return f"A and B give heights {levels[0].value}"
    a, b = (Level.SEA if one is Level.ELLIPSOID else one for one in levels)
    return f"A gives height {a.value}, B {b.value}"
