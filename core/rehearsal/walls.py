"""What stands around an antenna: walls by sector of the horizon, a street between two of them, leaves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from core.errors import InputError

STREET_STEP_DEG = 5.0
"""Width of a sector of a street's walls."""


class Wall(NamedTuple):
    """A sector of the horizon, from one azimuth clockwise to the other, hidden up to an elevation."""

    from_deg: float
    to_deg: float
    """350 to 10, and -10 to 10, cross north. 0 to 360 is all round."""
    elevation_deg: float
    """Upper edge, 0 to 90."""

    @property
    def span_deg(self) -> float:
        """Width of the sector, 0 to 360."""
        return 360.0 if self.to_deg - self.from_deg >= 360.0 else (self.to_deg - self.from_deg) % 360.0

    def covers(self, azimuth_deg: float) -> bool:
        """Whether it stands in this direction; its edges count."""
        return (azimuth_deg - self.from_deg) % 360.0 <= self.span_deg


def _degrees(wall: Wall) -> range:
    """Whole degrees, some perhaps beyond 360, of which it covers anything."""
    return range(math.floor(wall.from_deg), math.floor(wall.from_deg + wall.span_deg) + 1)


def _check(what: str, value: float, most: float) -> None:
    if not 0.0 <= value <= most:  # False for NaN too
        raise InputError(f"{what} is {value:g}: give a figure from 0 to {most:g}")


def _check_wall(number: int, wall: Wall) -> None:
    if not (-360.0 <= wall.from_deg <= 360.0 and -360.0 <= wall.to_deg <= 360.0):  # True for NaN too
        raise InputError(f"Wall {number} has no direction: give two azimuths in degrees, 0 to 360")
    if wall.span_deg == 0.0:
        raise InputError(f"Wall {number} begins and ends at {wall.from_deg:g} degrees: for all round give 0 and 360")
    _check(f"Elevation of wall {number}", wall.elevation_deg, 90.0)


@dataclass(frozen=True)
class Surroundings:
    """What hides satellites, by direction from true north. The defaults are the open sky.

    Raises InputError for figures that are none or out of range.
    """

    mask_deg: float = 0.0
    """Elevation of the land all round, 0 to 90."""
    walls: tuple[Wall, ...] = ()
    canopy_db: float = 0.0
    """Mean loss of a signal through leaves, 0 for none, to 60. 5 to 20 in a wood (common practice, no source)."""
    canopy_below_deg: float = 90.0
    """The leaves hang below this elevation; 90 = overhead too, 40 = a glade."""

    def __post_init__(self) -> None:
        _check("mask_deg", self.mask_deg, 90.0)
        _check("canopy_db", self.canopy_db, 60.0)
        _check("canopy_below_deg", self.canopy_below_deg, 90.0)
        for number, wall in enumerate(self.walls, 1):
            _check_wall(number, wall)

    def wall_deg(self, azimuth_deg: float) -> float:
        """Elevation of the highest wall in this direction, 0 where there is none."""
        if not self.walls:
            return 0.0
        near = self._by_degree[int(azimuth_deg) % 360]
        return max((wall.elevation_deg for wall in near if wall.covers(azimuth_deg)), default=0.0)

    @cached_property
    def _by_degree(self) -> tuple[tuple[Wall, ...], ...]:
        """Walls that reach into each whole degree: a street has seventy, and this is asked millions of times."""
        sectors: list[list[Wall]] = [[] for _ in range(360)]
        for wall in self.walls:
            for degree in _degrees(wall):
                sectors[degree % 360].append(wall)
        return tuple(map(tuple, sectors))


OPEN_SKY = Surroundings()
"""Nothing in the way."""


def street(heading_deg: float, height_m: float, width_m: float) -> tuple[Wall, ...]:
    """Walls seen from the middle of a long street that runs along `heading_deg` (and back), true.

    A house front at half the width is looked at along a line `half / sin(angle from the street)` long, hence

        tan(elevation) = height / (width / 2) x sin(angle from the street)

    `height_m` is above the antenna. In sectors of 5 degrees, each with the elevation of its middle: across the street
    that is exact to a tenth of a degree, near its open ends to some degrees. Raises InputError for what is no street.
    """
    if not (math.isfinite(heading_deg) and 0.0 < height_m < math.inf and 0.0 < width_m < math.inf):
        raise InputError(
            "A street takes a heading in degrees, a height and a width in metres above 0: give other figures"
        )
    half = STREET_STEP_DEG / 2
    middles = [number * STREET_STEP_DEG for number in range(1, round(360.0 / STREET_STEP_DEG)) if number % 36]
    return tuple(
        Wall(
            (heading_deg + middle - half) % 360.0,
            (heading_deg + middle + half) % 360.0,
            _front_deg(middle, 2 * height_m / width_m),
        )
        for middle in middles
    )


def _front_deg(off_street_deg: float, slope: float) -> float:
    return math.degrees(math.atan(slope * abs(math.sin(math.radians(off_street_deg)))))
