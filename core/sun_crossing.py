"""When the sun stands on a bearing, or right behind it, so that a beam can be set by its shadow without a compass."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import NamedTuple

from core.fix import Position
from core.places.sun import sun_position

_STEP = timedelta(minutes=10)
_DAY = timedelta(hours=24)
HIGHEST_DEG = 70.0
"""The sun serves to align by below this: higher, its azimuth is hard to see and runs fast (common practice)."""
_SETTLED = timedelta(seconds=1)


class Crossing(NamedTuple):
    """A moment at which the sun is in line."""

    at: datetime
    """UTC."""
    is_behind: bool
    """Whether the sun is opposite: the shadow points along the bearing."""
    elevation_deg: float
    """Above the level horizon; the sun is up."""


def sun_crossings(position: Position, begin: datetime, bearing_deg: float) -> tuple[Crossing, ...]:
    """Within the next 24 hours while the sun is up and no higher than serves, in their order. `begin` has a zone."""
    found: list[Crossing] = []
    for behind in (False, True):
        wanted = (bearing_deg + 180.0 * behind) % 360.0
        moments = (_settled(position, step, wanted) for step in _steps(position, begin, wanted))
        found.extend(Crossing(at, behind, _elevation_deg(position, at)) for at in moments)
    return tuple(sorted((one for one in found if 0.0 < one.elevation_deg <= HIGHEST_DEG), key=lambda one: one.at))


def _steps(position: Position, begin: datetime, wanted_deg: float) -> list[tuple[datetime, datetime]]:
    """Steps in which the sun's azimuth passes the wanted one; not those in which it passes the opposite."""
    moments = [begin + number * _STEP for number in range(_DAY // _STEP + 1)]
    off = [_off_deg(position, moment, wanted_deg) for moment in moments]
    return [
        (moments[n], moments[n + 1])
        for n in range(len(off) - 1)
        if (off[n] < 0.0) != (off[n + 1] < 0.0) and abs(off[n] - off[n + 1]) < 180.0
    ]


def _settled(position: Position, step: tuple[datetime, datetime], wanted_deg: float) -> datetime:
    """By halving: within ten minutes the azimuth runs one way, but for those in which it turns (in the tropics)."""
    early, late = step
    before = _off_deg(position, early, wanted_deg) < 0.0
    while late - early > _SETTLED:
        middle = early + (late - early) / 2
        if (_off_deg(position, middle, wanted_deg) < 0.0) == before:
            early = middle
        else:
            late = middle
    return late


def _off_deg(position: Position, moment: datetime, wanted_deg: float) -> float:
    """How far the sun stands right of the bearing, -180 to below 180."""
    return (sun_position(position, moment).azimuth_deg - wanted_deg + 180.0) % 360.0 - 180.0


def _elevation_deg(position: Position, moment: datetime) -> float:
    return sun_position(position, moment).elevation_deg
