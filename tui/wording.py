"""Figures to words: the one place where units are chosen. Metric here; the user's own units come with the settings."""

from __future__ import annotations

from core.fix import FixMode

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


def distance(metres: float) -> str:
    """With its unit: metres below 1 km, else kilometres."""
    if metres < 999.5:
        return f"{metres:.0f} m"
    kilometres = metres / 1000
    return f"{kilometres:.2f} km" if kilometres < 99.995 else f"{kilometres:,.0f} km"


def metres(length_m: float) -> str:
    """An error: two figures are all that an estimate is worth."""
    if length_m < 0.995:
        return f"{length_m * 100:.0f} cm"
    return f"{length_m:.1f} m" if length_m < 9.95 else distance(length_m)


def speed(mps: float) -> str:
    """Metres a second and kilometres an hour."""
    return f"{mps:.1f} m/s  {mps * 3.6:.1f} km/h"


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
