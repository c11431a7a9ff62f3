"""Handing a place on more coarsely than it is known, and a warning before one near home leaves.

Three ways: fewer digits, the position ambiguity of APRS, a locator of four characters. Coarsening leaves figures away;
it never moves the place, so what others learn always holds the truth. A shared position is public and archived, and
tells where somebody lives or that nobody is at home (common practice; trade-facts of the project, section j).
"""

from __future__ import annotations

import math
import re
from enum import Enum
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from core.errors import UsageError
from core.fix import Position
from core.safe_text import quoted
from core.units import in_use, length_m

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.places.locator import Box

AMBIGUITY_MINUTES = tuple(Fraction(text) for text in ("0.01", "0.1", "1", "10", "60"))
"""Side of the box in minutes for ambiguity 0 to 4: so many digits of ddmm.hh are left blank (APRS Protocol Reference
1.0.1, chapter 6; R. Bruninga on position ambiguity, 8 January 2008)."""
COARSE_LOCATOR = 4
"""Characters: 2 degrees by 1."""
USUAL_RADIUS_M = 500.0
"""Of the circle around home where the settings name none: some streets (common practice, no source)."""
SHOWS_THE_HOUSE_M = 50.0
"""A position blurred by less finds the house (our own choice)."""
LARGEST_BLUR_M = 100_000.0
BLURS = "100m, 2km, 300ft or 1mi (what the last digit is worth at least), ambiguity:0 to ambiguity:4, locator, or none"
_AMBIGUITY = re.compile(r"ambiguity:([0-4])", re.ASCII)


class BlurKind(Enum):
    """How a place is made coarse."""

    NONE = "as it is"
    DIGITS = "fewer digits"
    AMBIGUITY = "APRS ambiguity"
    LOCATOR = "4-character locator"


class Blur(NamedTuple):
    """One choice."""

    kind: BlurKind = BlurKind.NONE
    amount: float = 0.0
    """DIGITS: metres that the last digit is worth at least; AMBIGUITY: 0 to 4; otherwise nothing."""


EXACT = Blur()


class Home(NamedTuple):
    """Where the user lives, as the settings have it."""

    position: Position
    radius_m: float = USUAL_RADIUS_M


def parse_blur(text: str) -> Blur:
    """What was typed as a blur. Raises UsageError naming what would be right."""
    plain = text.strip().lower()
    ambiguity = _AMBIGUITY.fullmatch(plain)
    if plain == "none":
        return EXACT
    if plain == "locator":
        return Blur(BlurKind.LOCATOR)
    if ambiguity:
        return Blur(BlurKind.AMBIGUITY, float(ambiguity[1]))
    metres = length_m(plain) or 0.0
    if not 0.0 < metres <= LARGEST_BLUR_M:
        raise UsageError(f"{quoted(text)} is no way to blur a position: write {BLURS}")
    return Blur(BlurKind.DIGITS, metres)


def ambiguity_box(position: Position, level: int) -> Box:
    """The box that an APRS ambiguity of 1 to 4 leaves, the place in it; level 0 is the nearest hundredth of a minute.

    Digits are left blank, so the place is cut to what remains, not rounded.
    """
    from core.aprs.ambiguity import box

    return box(position, level)


def blurred_box(position: Position, blur: Blur) -> Box | None:
    """What others learn; None where that hangs on the notation, or on nothing."""
    from core.places.locator import box as locator_box
    from core.places.locator import locator

    if blur.kind is BlurKind.AMBIGUITY:
        return ambiguity_box(position, int(blur.amount))
    return locator_box(locator(position, COARSE_LOCATOR)) if blur.kind is BlurKind.LOCATOR else None


def half_width_m(position: Position, blur: Blur) -> float:
    """How far the place may be, at least, from the middle of what others learn, across its narrower side."""
    from core.places.found import METRES_PER_DEGREE

    if blur.kind is BlurKind.DIGITS:
        return blur.amount / 2
    found = blurred_box(position, blur)
    if found is None:
        return 0.0
    east = found.half_longitude_deg * math.cos(math.radians(found.centre.latitude_deg))
    return METRES_PER_DEGREE * min(found.half_latitude_deg, east)


def leaving(position: Position, blur: Blur, home: Home | None, error_m: float | None = None) -> str | None:
    """A warning where this position, handed on like this, gives home away; None where it does not.

    `error_m`: the 95 % error of the position, which may truly be nearer to home by that much. A blur is enough when
    even the narrower side of what others learn reaches as far to both sides as the circle does.
    """
    from core.places.geodesic import distance_m

    if home is None or distance_m(position, home.position) > home.radius_m + (error_m or 0.0):
        return None
    half_m = half_width_m(position, blur)
    if half_m >= home.radius_m:
        return None
    shown = f"only blurred by {in_use().plain(half_m)} to each side" if half_m >= SHOWS_THE_HOUSE_M else "precise"
    return (
        f"Home: this position lies within {in_use().plain(home.radius_m)} of it and is {shown}: whoever gets it learns "
        "where you live. Blur it, or hand it on knowingly. In distress give it as exactly as you can."
    )
