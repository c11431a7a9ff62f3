"""Which way to a target from here."""

from __future__ import annotations

from typing import NamedTuple

from core.fix import Position
from core.places.geodesic import way

AT_TARGET_M = 1.0
"""Closer than this a bearing is made of noise, and of rounding."""


class Guidance(NamedTuple):
    """Distance and direction to a target."""

    distance_m: float
    bearing_deg: float | None
    """Initial bearing of the geodesic, from true north; None on the spot."""
    turn_deg: float | None
    """From the course to the bearing, -180 to 180, right positive; None without a course that can be relied on."""


def guide(position: Position, target: Position, course_deg: float | None) -> Guidance:
    """Guidance from `position`; `course_deg` only where it can be relied on."""
    line = way(position, target)
    bearing = line.initial_bearing_deg if line.distance_m >= AT_TARGET_M else None
    turn = None if bearing is None or course_deg is None else (bearing - course_deg + 180.0) % 360.0 - 180.0
    return Guidance(line.distance_m, bearing, turn)
