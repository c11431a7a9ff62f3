"""What comes of reading a text as a place: one `Reading` for each way it can be meant."""

from __future__ import annotations

import math
from typing import NamedTuple

from core.fix import Position
from core.places.notation import Form

METRES_PER_DEGREE = 111_195.0
"""On the mean sphere of 6,371 km. Good to 0.6 %, which is enough for how coarse a figure is."""
HIGHEST_M = 100_000.0
"""Beyond it, up or down, a height is none of ours: the edge of space by custom (no source)."""


class Reading(NamedTuple):
    """One plausible meaning of what was typed."""

    position: Position
    """For forms that name a square, its middle."""
    form: Form
    radius_m: float
    """How far off the true place may be by the coarseness of the figures alone: from the middle to a corner of the
    square that they name, or of half a last digit each way."""
    explanation: str
    """How it was read, in plain words, for the user to choose by."""
    ellipsoidal_height_m: float | None = None
    """Above WGS 84's ellipsoid, where the form carries it."""


def height_m(number: str) -> float | None:
    """A height as a form writes it; None for what can be none."""
    value = float(number)
    return value if abs(value) <= HIGHEST_M else None


def corner_m(half_latitude_deg: float, half_longitude_deg: float, latitude_deg: float) -> float:
    """Metres from the middle of a box to its corner, the box being small and at this latitude."""
    east = half_longitude_deg * math.cos(math.radians(latitude_deg))
    return METRES_PER_DEGREE * math.hypot(half_latitude_deg, east)


def step_deg(number: str) -> float:
    """The worth of the last digit of a decimal number: 0.01 for `48.25`, 1 for `48`."""
    return 10.0 ** -len(number.partition(".")[2])
