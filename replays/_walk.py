"""The true walk that the demonstration receiver is carried on, and how much of the sky it loses on the way.

Everything here is invented: the isle of Quennet, its landing with the parked car, Ommery Top and the wooded Sallowgill
lie on no map. Metres east, north and up from the car, seconds from the moment the receiver is switched on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from replays._sky import Site

CAR = Site(-47.302, -12.7035, 105.6)
"""Open ocean; the height is the ellipsoid's."""
GEOID_SEPARATION_M = 21.4
"""Invented, like the rest of the ground."""

STAND_S = 104
"""At the car, while the receiver starts."""
TOP_S = 30
"""Rest on Ommery Top."""
FINISH_S = 76
"""At the car again."""

_TOP = (231.0, 304.0, 47.0)
_OUT = ((0, 0, 0), (26, 40, 3), (22, 97, 8), (70, 145, 15), (132, 163, 21), (150, 220, 30), (211, 255, 39), _TOP)
_BACK = (_TOP, (264, 255, 38), (251, 202, 24), (189, 132, 12), (123, 97, 9), (84, 44, 5), (35, 22, 2), (0, 0, 0))

_PACE_MPS = 1.35
"""Mean pace; it sways by a tenth with the ground (common practice for a walker with a bag, no source)."""
_ROUNDING_S = 3
"""Corners are rounded by averaging this many seconds to either side."""

# Loss in dB by seconds after Ommery Top is left: open hillside, the trees of Sallowgill, its bottom, out again.
_SHADE = ((0, 0.0), (38, 0.0), (56, 10.0), (72, 15.0), (90, 31.0), (124, 31.0), (142, 12.0), (160, 3.0), (172, 0.0))


class Moment(NamedTuple):
    """The truth at one second."""

    east_m: float
    north_m: float
    up_m: float
    loss_db: float
    """What trees and slopes take from a satellite of middling height."""


Point = tuple[float, float, float]


def between(table: Sequence[tuple[float, float]], at: float) -> float:
    """The value of a table of (argument, value) at `at`, by straight lines, flat beyond its ends."""
    for (low, first), (high, last) in pairwise(table):
        if at < high:
            return first + (last - first) * max(0.0, at - low) / (high - low)
    return table[-1][1]


def _leg(corners: Sequence[Point]) -> list[Point]:
    """One point a second along `corners`, the last corner included."""
    reach = [0.0, *accumulate(math.dist(a[:2], b[:2]) for a, b in pairwise(corners))]
    axes = [[(metres, corner[axis]) for metres, corner in zip(reach, corners, strict=True)] for axis in range(3)]
    walked, points = 0.0, []
    while walked < reach[-1]:
        points.append((between(axes[0], walked), between(axes[1], walked), between(axes[2], walked)))
        walked += _PACE_MPS * (1 + 0.1 * math.sin(len(points) / 17))
    return [*points, corners[-1]]


def _rounded(points: Sequence[Point]) -> list[Point]:
    """A moving average: rounds corners, and lets starts and stops take a few seconds."""
    last, count = len(points) - 1, 2 * _ROUNDING_S + 1
    windows = (
        [points[min(max(at + step, 0), last)] for step in range(-_ROUNDING_S, _ROUNDING_S + 1)]
        for at in range(last + 1)
    )
    return [(sum(p[0] for p in w) / count, sum(p[1] for p in w) / count, sum(p[2] for p in w) / count) for w in windows]


def walk() -> list[Moment]:
    """The whole session, one moment a second."""
    out, back = _leg(_OUT), _leg(_BACK)
    points = [_OUT[0]] * STAND_S + out + [_TOP] * TOP_S + back + [_BACK[-1]] * FINISH_S
    leaving = STAND_S + len(out) + TOP_S
    return [Moment(*point, between(_SHADE, second - leaving)) for second, point in enumerate(_rounded(points))]


def site(east_m: float, north_m: float, up_m: float) -> Site:
    """The place on WGS 84, by the radii of curvature at the car: millimetres off within this walk."""
    sine, flat = math.sin(math.radians(CAR.latitude_deg)), 1 / 298.257223563
    bend = 1 - flat * (2 - flat) * sine * sine
    across = 6_378_137.0 / math.sqrt(bend)
    along = across * (1 - flat) ** 2 / bend
    return Site(
        CAR.latitude_deg + math.degrees(north_m / (along + CAR.height_m)),
        CAR.longitude_deg + math.degrees(east_m / (across + CAR.height_m) / math.cos(math.radians(CAR.latitude_deg))),
        CAR.height_m + up_m,
    )
