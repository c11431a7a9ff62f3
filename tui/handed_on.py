"""What the board's position is handed on as, with the user's choices: APRS text, ISO 6709, geo: URI."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from core.aged import Freshness
from core.aprs.ambiguity import box, box_size_m
from core.aprs.compressed import Origin
from core.aprs.extensions import Motion
from core.aprs.sendable import Whence, why_not_sent
from core.aprs.symbols import NAMED, ON_FOOT, Symbol
from core.aprs.text import Line, Report, clock_stamp, compressed_line, day_stamp, plain_line
from core.blur import Blur, BlurKind, Home, leaving
from core.course import CourseTrust
from core.errors import UsageError
from core.fix import Position, Utc
from core.places.forms import digits_for
from core.places.found import METRES_PER_DEGREE, corner_m
from core.places.geo_uri import geo_uri
from core.places.iso6709 import iso6709
from core.places.locator import Box
from core.places.notation import Form
from core.sources.source import SourceKind
from core.units import in_use
from tui.state import BoardState

NOTHING_NOW = "no current position"
NO_ISO = "its digits cannot say a box"
_MIDDLE_DECIMALS = (5, 5, 4, 3, 1)
"""By ambiguity: decimals of a degree that name the middle of the box well enough."""
COMPRESSED_M = 0.5
"""What the compressed form leaves open, roughly: 0.3 m of latitude and 0.6 of longitude a step (APRS Protocol Reference
1.0.1, chapter 9: 380,926 and 190,463 to the degree)."""


class Stamp(Enum):
    """Which time a text carries."""

    NONE = "without a time"
    CLOCK = "time to the second"
    DAY = "day and time"


@dataclass(frozen=True, slots=True)
class Choices:
    """The user's."""

    symbol: Symbol = ON_FOOT
    comment: str = ""
    ambiguity: int = 0
    is_compressed: bool = False
    stamp: Stamp = Stamp.NONE

    def next_symbol(self, step: int) -> Symbol:
        """That many further in the list of named ones; one that is not in it goes to its begin."""
        known = list(NAMED.values())
        return known[(known.index(self.symbol) + step) % len(known)] if self.symbol in known else known[0]


class Handed(NamedTuple):
    """Everything for one moment; empty texts where there is nothing to hand on."""

    aprs: Line
    geo: str
    iso: str
    box: str
    """What others see of it, in words."""
    why_not: str
    """Why nothing is handed on."""
    refused: str
    """Why there is no APRS text though there is a position."""
    home: str
    """A warning where this gives home away."""
    held_back: str
    """Why it would not be sent by itself."""


NOTHING = Handed(Line(""), "", "", "", NOTHING_NOW, "", "", NOTHING_NOW)


def handed(state: BoardState, choices: Choices, home: Home | None) -> Handed:
    """The board's position as it stands. A position that is void or has aged is none."""
    position = state.position
    held_back = why_not_sent(_whence(state))
    if position is None or not (state.is_current or state.is_held):
        return NOTHING._replace(held_back=held_back)
    error_m = state.snapshot.trust.error.horizontal_m
    line, refused = _line(report(state, position, choices), choices, state)
    warning = leaving(position, Blur(BlurKind.AMBIGUITY, choices.ambiguity), home, error_m) or ""
    decimals = digits_for(state.digits_error_m, Form.GEO_URI)
    if choices.ambiguity:
        geo, iso = _geo_of_box(box(position, choices.ambiguity), choices.ambiguity), ""
    else:
        geo, iso = geo_uri(position, decimals=decimals), iso6709(position, decimals=decimals)
    seen = box_words(position, choices)
    return Handed(line, geo, iso, seen, "", refused, warning, held_back or refused or warning)


def report(state: BoardState, position: Position, choices: Choices) -> Report:
    """The report that the choices make of it. A blurred one has no altitude: on a hill that would tell the place."""
    values = state.snapshot.values
    height = values.height if values.height and values.height.freshness(state.now_s) is Freshness.FRESH else None
    tells_height = height is not None and not choices.ambiguity
    return Report(
        position,
        choices.symbol,
        choices.comment,
        _motion(state),
        height.value.altitude_m if height and tells_height else None,
        _stamp(state.utc, choices.stamp),
        choices.ambiguity,
    )


def box_words(position: Position, choices: Choices) -> str:
    """How much of the earth the text leaves open."""
    if choices.ambiguity:
        high, wide = box_size_m(position, choices.ambiguity)
        return f"others see a box {_length(wide)} wide, {_length(high)} high"
    if choices.is_compressed:
        return f"to about {in_use().error(COMPRESSED_M)}"
    return f"to the nearest {in_use().own_lengths('18.5 m')} (0.01')"


def _length(metres: float) -> str:
    return in_use().coarse(metres)


def _line(told: Report, choices: Choices, state: BoardState) -> tuple[Line, str]:
    origin = Origin(is_current=state.is_current and not why_not_sent(_whence(state)))
    try:
        return (compressed_line(told, origin) if choices.is_compressed else plain_line(told)), ""
    except (UsageError, ValueError) as error:
        return Line(""), str(error)


def _whence(state: BoardState) -> Whence:
    return Whence(state.status.kind, state.is_current, state.snapshot.fix.mode, state.verdict)


def _motion(state: BoardState) -> Motion | None:
    """Course and speed while they are fresh; a course that is not sure is none."""
    speed = state.snapshot.values.speed_mps
    if state.status.kind is SourceKind.HELD or speed is None or speed.freshness(state.now_s) is not Freshness.FRESH:
        return None
    return Motion(state.course_deg if state.course_trust is CourseTrust.SURE else None, speed.value)


def _stamp(utc: Utc | None, stamp: Stamp) -> str:
    """Empty where the time is not known; the day's form needs a date."""
    if utc is None or stamp is Stamp.NONE:
        return ""
    return (day_stamp(utc) or clock_stamp(utc)) if stamp is Stamp.DAY else clock_stamp(utc)


def _geo_of_box(seen: Box, level: int) -> str:
    """The middle of the box with its uncertainty (RFC 5870, section 3.4.3): it says no more than the text does."""
    decimals = _MIDDLE_DECIMALS[level]
    reach = corner_m(seen.half_latitude_deg, seen.half_longitude_deg, seen.centre.latitude_deg)
    return f"{geo_uri(seen.centre, decimals=decimals)};u={reach + METRES_PER_DEGREE / 10**decimals:.0f}"
