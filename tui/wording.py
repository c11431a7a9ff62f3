"""Figures to words, in the units that the user has set (`core.units`): metric without a setting."""

from __future__ import annotations

from core.fix import FixMode
from core.units import in_use

MODE_WORDS = {
    FixMode.NONE: "no fix",
    FixMode.AUTONOMOUS: "autonomous",
    FixMode.DIFFERENTIAL: "differential",
    FixMode.PRECISE: "precise service",
    FixMode.RTK_FIXED: "RTK fixed",
    FixMode.RTK_FLOAT: "RTK float",
    FixMode.ESTIMATED: "estimated: dead reckoning, no satellites",
    FixMode.MANUAL: "typed in by hand, not measured",
    FixMode.SIMULATED: "simulated, not real",
}

UNKNOWN = "-"
"""Plain ASCII, and one cell in every font."""


def as_sentence(words: str) -> str:
    """With a capital at its beginning and the rest as it is: keys and names have capitals of their own."""
    return words[:1].upper() + words[1:]


def distance(metres: float) -> str:
    """With its unit: short ways in metres (yards, feet), long ones in kilometres (miles, nautical miles)."""
    return in_use().way(metres)


def metres(length_m: float) -> str:
    """An error: two figures are all that an estimate is worth."""
    return in_use().error(length_m)


def exact(length_m: float, decimals: int = 1, *, signed: bool = False) -> str:
    """A short length with so many decimals."""
    return in_use().exact(length_m, decimals, signed=signed)


def ruler_m(metres_per_dot: float, dots: float) -> float:
    """The longest round length, in the user's units, of at most so many dots; in metres."""
    from core import map_view

    return map_view.ruler_m(metres_per_dot, dots)


def steady_speed(mps: float) -> str:
    """Metres a second and kilometres an hour, or the one unit that the user has set, for a place where it changes.

    Its units stand still while its figures get more digits, or fewer.
    """
    return in_use().steady_rate(mps)


def height(height_m: float, decimals: int = 0) -> str:
    """With its unit; `decimals`: of metres."""
    return in_use().high(height_m, decimals)


def bearing(degrees: float) -> str:
    """Three figures, 000 to 359, and the reference."""
    return f"{round(degrees) % 360:03d}° true"


def turn(degrees: float) -> str:
    """How to turn from the course to the target; -180 to 180, right positive."""
    size = round(abs(degrees))
    if size < 3:
        return "straight on"
    if size > 170:
        return "turn round"
    return f"{size}° right" if degrees > 0 else f"{size}° left"


def age(seconds: float) -> str:
    """A short age: 4 s, 2 min 10 s, 3 h 12 min."""
    whole = int(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60:02d} s"
    return f"{whole // 3600} h {whole % 3600 // 60:02d} min"


def clock(seconds: float) -> str:
    """A length of time as h:mm:ss."""
    whole = int(seconds)
    return f"{whole // 3600}:{whole % 3600 // 60:02d}:{whole % 60:02d}"


def pace(times: float) -> str:
    """How fast a recording runs."""
    return "as fast as it goes" if times == float("inf") else f"{times:g}x"
