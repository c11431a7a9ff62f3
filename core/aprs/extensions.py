"""What may stand behind the symbol: course and speed, station power, range; and their compressed likenesses.

Units of the protocol (APRS Protocol Reference 1.0.1, chapters 7 and 9): knots, feet, statute miles, degrees 001 to 360
with 000 for unknown.
"""

from __future__ import annotations

import math
from enum import IntEnum
from typing import NamedTuple

from core.aprs.base91 import base91

KNOT_MPS = 1852 / 3600
FOOT_M = 0.3048
MILE_M = 1609.344
FASTEST_KN = 999
_SPEED_BASE, _ALTITUDE_BASE, _RANGE_BASE = 1.08, 1.002, 1.08
_LARGEST_DIGIT = 90


class Motion(NamedTuple):
    """Course and speed over ground."""

    course_deg: float | None
    """True; None where it is unknown, or means nothing because one stands."""
    speed_mps: float


class StationPower(NamedTuple):
    """Power, height, gain and direction of a station, as the four code digits of the protocol, 0 to 9 each."""

    power: int
    """Watts: its square."""
    height: int
    """Above the land around, feet: 10 times 2 to the power of it."""
    gain: int
    """dB."""
    direction: int
    """Of the best coverage, in eighths of a circle from north; 0 for all round."""


class RadioRange(NamedTuple):
    """How far a station is heard, precalculated."""

    range_m: float


class PackedAltitude(NamedTuple):
    """Altitude in the place of course and speed, to 0.1 %; compressed texts only."""

    altitude_m: float
    """Above mean sea level, 0.3048 m at the least."""


Extension = Motion | StationPower | RadioRange | PackedAltitude


class Sentence(IntEnum):
    """Which sentence a compressed position came from. A reader takes cs for an altitude exactly where this is GGA."""

    OTHER = 0
    GLL = 1
    GGA = 2
    RMC = 3


def plain(extension: Extension | None) -> str:
    """Seven characters, none without an extension. Raises ValueError for what this form cannot say."""
    if extension is None:
        return ""
    if isinstance(extension, Motion):
        return f"{_course(extension.course_deg)}/{_knots(extension.speed_mps):03d}"
    if isinstance(extension, StationPower):
        return "PHG" + "".join(str(_digit(code)) for code in extension)
    if isinstance(extension, RadioRange):
        return f"RNG{min(9999, _half_up(extension.range_m / MILE_M)):04d}"
    raise ValueError("only a compressed text packs its altitude")


def packed(extension: Extension | None) -> tuple[str, Sentence] | None:
    """The two characters cs and what they are; None where there is nothing that they could say.

    There is no unknown course in them, 0 is north: without a course they say nothing. Raises ValueError for station
    power.
    """
    if isinstance(extension, StationPower):
        raise ValueError("a compressed text has no room for station power")  # noqa: TRY004 - the type is right, the form not
    if isinstance(extension, PackedAltitude):
        steps = _half_up(math.log(max(1.0, extension.altitude_m / FOOT_M), _ALTITUDE_BASE))
        return base91(min(steps, 91 * 91 - 1), 2), Sentence.GGA
    if isinstance(extension, RadioRange):
        steps = _half_up(math.log(max(1.0, extension.range_m / MILE_M / 2), _RANGE_BASE))
        return "{" + base91(min(steps, _LARGEST_DIGIT), 1), Sentence.OTHER
    if extension is None or extension.course_deg is None:
        return None
    # The character of 360 degrees would announce a range: full circle is 0 again.
    quarter = _half_up(extension.course_deg / 4) % 90
    speed = _half_up(math.log(_checked_kn(extension.speed_mps) + 1, _SPEED_BASE))
    return base91(quarter, 1) + base91(speed, 1), Sentence.RMC


def altitude_words(altitude_m: float) -> str:
    """For the comment: `/A=` and six characters of feet. Raises ValueError where they do not suffice.

    Below sea level with a minus sign in the first of the six: the protocol is silent, readers take it (common
    practice, no source).
    """
    feet = math.floor(altitude_m / FOOT_M + 0.5)
    if not -99_999 <= feet <= 999_999:
        raise ValueError(f"{altitude_m:g} m is no altitude that six characters of feet can say")
    return f"/A={feet:06d}"


def _course(course_deg: float | None) -> str:
    """001 to 360: north is 360, because 000 is no course."""
    return "000" if course_deg is None else f"{_half_up(course_deg % 360.0) % 360 or 360:03d}"


def _knots(speed_mps: float) -> int:
    return _half_up(_checked_kn(speed_mps))


def _checked_kn(speed_mps: float) -> float:
    knots = speed_mps / KNOT_MPS
    if not 0.0 <= knots < FASTEST_KN + 0.5:
        raise ValueError(f"{speed_mps:g} m/s is no speed that three digits of knots can say")
    return knots


def _digit(code: int) -> int:
    if not 0 <= code <= 9:
        raise ValueError(f"{code} is no code digit of station power")
    return code


def _half_up(value: float) -> int:
    return math.floor(value + 0.5)
