"""When a point of the track is kept, as a person says it: "every 10 s", "every 25 m", "every 50 m or 20 deg"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

from core.errors import InputError
from core.safe_text import quoted
from core.units import LENGTH_UNITS, length_unit_m

EXAMPLE = "say, for example, “every 10 s”, “every 25 m” or “every 150 ft or 20 deg”"
LONGEST_TEXT = 100


class _Kind(NamedTuple):
    """One of the three sorts of figures."""

    unit: str
    low: float
    high: float


_KINDS = {
    "every_s": _Kind("s", 1.0, 86_400.0),
    "every_m": _Kind("m", 1.0, 100_000.0),
    "turn_deg": _Kind("deg", 5.0, 180.0),
}
"""Fixes count once a second, positions are no better than a metre, courses at a walk no better than 5 degrees or so
(trade-facts.md b): less would only be noise."""
_UNITS = {
    **dict.fromkeys(("s", "sec", "second", "seconds"), ("every_s", 1.0)),
    **dict.fromkeys(("min", "minute", "minutes"), ("every_s", 60.0)),
    **dict.fromkeys(("h", "hour", "hours"), ("every_s", 3600.0)),
    **{word: ("every_m", length_unit_m(word) or 0.0) for word in LENGTH_UNITS},
    **dict.fromkeys(("deg", "degree", "degrees", "°"), ("turn_deg", 1.0)),
}
_PART = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,15})?)\s*([a-z]{1,10}|°)", re.ASCII)


@dataclass(frozen=True, slots=True)
class TrackRule:
    """A point is kept when any of these is due, never at rest.

    Raises InputError where none is set, or one is out of range.
    """

    every_s: float | None = None
    """Seconds since the last point, 1 to 86,400."""
    every_m: float | None = None
    """Metres from the last point, 1 to 100,000."""
    turn_deg: float | None = None
    """Change of course since the last point, 5 to 180 degrees."""

    def __post_init__(self) -> None:
        figures = [(kind, value) for name, kind in _KINDS.items() if (value := getattr(self, name)) is not None]
        if not figures:
            raise InputError(f"a rule for the track needs a time, a distance or a turn: {EXAMPLE}")
        for kind, value in figures:
            if not kind.low <= value <= kind.high:
                raise InputError(f"{value:g} {kind.unit} is not from {kind.low:g} to {kind.high:g} {kind.unit}")

    def __str__(self) -> str:
        parts = (f"{value:.15g} {kind.unit}" for name, kind in _KINDS.items() if (value := getattr(self, name)))
        return f"every {' or '.join(parts)}"


USUAL_RULE = TrackRule(every_s=10.0, every_m=25.0, turn_deg=20.0)
"""Moved, turned, or time elapsed (common practice, trade-facts.md g); the figures are those of a walk."""


def parse_rule(text: str) -> TrackRule:
    """The rule that is meant. Raises InputError with an example."""
    figures: dict[str, float] = {}
    for part in _parts(text):
        found = _PART.fullmatch(part)
        name, factor = _UNITS.get(found[2], ("", 0.0)) if found else ("", 0.0)
        if not found or not name:
            raise InputError(f"{quoted(text)} is no rule for the track: {EXAMPLE}")
        if name in figures:
            raise InputError(f"{quoted(text)} says the same thing twice: {EXAMPLE}")
        figures[name] = round(float(found[1]) * factor, 6)  # so that `str` has room for all of it
    return TrackRule(**figures)


def _parts(text: str) -> list[str]:
    if len(text) > LONGEST_TEXT:
        raise InputError(f"a rule for the track is shorter than {LONGEST_TEXT} characters: {EXAMPLE}")
    words = re.sub(r"^every\b", "", text.strip().lower()).strip()
    return [part.strip() for part in re.split(r",|\bor\b", words)]
