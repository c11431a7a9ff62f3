"""The mean against a published mark: so many metres east, north and up of it, like compared with like.

What a mark can tell that the scatter of fixes never does: a datum mistaken, an antenna that is not above the mark, a
constant reflection. So the difference is given beside what chance alone allows, and the cautions beside both.
"""

from __future__ import annotations

import math
import re
from enum import StrEnum
from typing import NamedTuple

from core.errors import InputError
from core.fix import Position
from core.places.geodesic import way
from core.units import LENGTH_UNITS, length_unit_m
from core.waypoint import NAME_LIMIT


class HeightKind(StrEnum):
    """What a published height is counted from."""

    ELLIPSOID = "ellipsoid"
    SEA_LEVEL = "sea level"


class Mark(NamedTuple):
    """A published mark, as the user typed it."""

    name: str
    position: Position
    coarse_m: float = 0.0
    """How far off it may be by its figures alone: from the middle of what the last digits name to a corner."""
    error_m: float | None = None
    """Its published accuracy, 95 %; None where the user gave none."""
    height_m: float | None = None
    height_kind: HeightKind | None = None

    @property
    def reach_m(self) -> float:
        """Both of its uncertainties together: what is known of them."""
        return math.hypot(self.coarse_m, self.error_m or 0.0)


class MeanPlace(NamedTuple):
    """What is compared with it."""

    position: Position
    horizontal_95_m: float | None = None
    """The random part alone; None where none can be stated."""
    vertical_95_m: float | None = None
    altitude_m: float | None = None
    """Above sea level as the receiver reports it."""
    height_m: float | None = None
    """Above the ellipsoid."""


class Comparison(NamedTuple):
    """The mean seen from the mark: positive to the east, to the north, above it."""

    east_m: float
    north_m: float
    distance_m: float
    bearing_deg: float | None
    """True, from the mark to the mean; None where they are one."""
    up_m: float | None
    no_height: str
    """Why there is no difference of heights; empty where there is one."""
    chance_m: float | None
    """What both uncertainties together allow, 95 %; None where the mean has none that can be stated."""

    @property
    def is_beyond_chance(self) -> bool | None:
        """Whether the difference is more than that; None where nobody can say."""
        return None if self.chance_m is None else self.distance_m > self.chance_m


class Caution(NamedTuple):
    """Something to know before anything is made of the difference."""

    words: str
    source: str


CAUTIONS = (
    Caution(
        "Same datum? To within metres WGS 84 is NAD 83 (up to 2 m off), ETRS89 (0.9 m, growing 2.5 cm a year), GDA94 "
        "(1.8 m, 7 cm a year); it is to the centimetre ITRF.",
        "trade-facts.md c, S24 and S25 there (seen)",
    ),
    Caution(
        "Latitude and longitude on a datum from before satellites (NAD27, OSGB36, ED50, Tokyo) are tens to several "
        "hundred metres off.",
        "trade-facts.md c (from memory of the textbooks; calculated sizes vary by place)",
    ),
    Caution(
        "Compare like heights: above the ellipsoid, or above sea level. Receivers take sea level from a coarse table: "
        "metres off, and a map's sea level is yet another.",
        "trade-facts.md c (from memory)",
    ),
    Caution(
        "Many older marks are known by their height alone: their place was scaled from maps, to some 180 m.",
        "trade-facts.md c, of the US datasheets (from memory)",
    ),
    Caution(
        "The antenna stands above the mark: measure by how much, and take it off the height.",
        "common practice, no source",
    ),
)


def compare(mark: Mark, mean: MeanPlace) -> Comparison:
    """The mean seen from the mark."""
    line = way(mark.position, mean.position)
    azimuth = math.radians(line.initial_bearing_deg)
    up_m, no_height = _up(mark, mean)
    chance_m = None if mean.horizontal_95_m is None else math.hypot(mean.horizontal_95_m, mark.reach_m)
    return Comparison(
        line.distance_m * math.sin(azimuth),
        line.distance_m * math.cos(azimuth),
        line.distance_m,
        line.initial_bearing_deg if line.distance_m else None,
        up_m,
        no_height,
        chance_m,
    )


def _up(mark: Mark, mean: MeanPlace) -> tuple[float | None, str]:
    """Like from like, or why not."""
    if mark.height_m is None or mark.height_kind is None:
        return None, "the mark was given without a height"
    ours_m = mean.height_m if mark.height_kind is HeightKind.ELLIPSOID else mean.altitude_m
    if ours_m is None:
        return None, f"the receiver gives no height above the {mark.height_kind}".replace("the sea", "sea")
    return ours_m - mark.height_m, ""


# What the user types

_UNIT = rf"(?:(?P<unit>{'|'.join(map(re.escape, LENGTH_UNITS))})(?![a-z]))?"
_ERROR = re.compile(rf"(?:\+-|\+/-|±)\s*(?P<figure>\d{{1,5}}(?:[.,]\d{{1,4}})?)\s*{_UNIT}\s*\Z", re.IGNORECASE)
_HEIGHT = re.compile(rf"(?P<figure>[+-]?\d{{1,5}}(?:[.,]\d{{1,4}})?)\s*{_UNIT}\s*(?P<kind>.*)\Z", re.IGNORECASE)
_KINDS = {
    **dict.fromkeys(("e", "ell", "ellipsoid", "ellipsoidal"), HeightKind.ELLIPSOID),
    **dict.fromkeys(("s", "sea", "sea level", "msl"), HeightKind.SEA_LEVEL),
}
LOWEST_M, HIGHEST_M = -500.0, 9000.0
"""Of the earth's surface with some room, by either kind of height (general knowledge)."""
COARSEST_M = 100_000.0
"""Of an accuracy that is typed: five figures of metres. Invented; marks are known to centimetres."""
HEIGHT_EXAMPLE = "Write for example 123.45 ellipsoid (metres), 98.7 sea, or 405.02 ft ellipsoid"


def split_error(text: str) -> tuple[str, float | None]:
    """The place's own text, and the accuracy behind a `+-` at its end, metres; without one None.

    Raises:
        InputError: so coarse that nothing could be compared with it.
    """
    found = _ERROR.search(text)
    if found is None:
        return text, None
    error_m = float(found["figure"].replace(",", ".")) * _unit_m(found)
    if error_m > COARSEST_M:
        raise InputError(
            f"a mark known to {error_m / 1000:,.0f} km is none: write its accuracy like +- 0.02 m, or leave it away"
        )
    return text[: found.start()].strip().rstrip(";,"), error_m


def read_height(text: str) -> tuple[float, HeightKind]:
    """A height and its kind, which must be said: they differ by up to a hundred metres. Raises InputError."""
    found = _HEIGHT.match(text.strip())
    kind = _KINDS.get(" ".join(found["kind"].lower().split())) if found else None
    if found is None or kind is None:
        raise InputError(f"a height needs its figure in metres and its kind. {HEIGHT_EXAMPLE}")
    height_m = float(found["figure"].replace(",", ".")) * _unit_m(found)
    if not LOWEST_M <= height_m <= HIGHEST_M:
        raise InputError(f"no place has a height of {height_m:g} m. {HEIGHT_EXAMPLE}")
    return height_m, kind


def _unit_m(found: re.Match[str]) -> float:
    """Marks are published in metres: a figure without a unit is in them, whatever the user's own are."""
    return (length_unit_m(found["unit"]) if found["unit"] else None) or 1.0


def mark_name(text: str) -> str:
    """A name that fits a line; `the mark` where none was typed."""
    return " ".join(text.split())[:NAME_LIMIT] or "the mark"
