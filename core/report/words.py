"""Figures to words on the page: in the user's units, no more figures than they are worth, a dash for what is unknown.

The page is read by people, as the trip sheet is, so it speaks the units in use. What it is made from stays SI, and what
others fix in metres stays so: UTM, MGRS, geo: and ISO 6709 (their standards).
"""

from __future__ import annotations

from core.report.markup import THIN_SPACE
from core.units import UNITS, Unit, in_use

UNKNOWN = "-"
MINUS = "\N{MINUS SIGN}"
TO = "\N{EN DASH}"


def number(value: float, decimals: int = 0) -> str:
    """With a true minus sign, and none before nothing."""
    short = f"{value:,.{decimals}f}".replace(",", THIN_SPACE)
    return (short.replace("-", "") if not short.strip("-0.") else short).replace("-", MINUS)


def length(metres: float | None) -> str:
    """Two to four figures: centimetres, metres, kilometres, or what the user has in their place."""
    return UNKNOWN if metres is None else in_use().error(metres).replace(",", THIN_SPACE)


def ruler(metres: float) -> str:
    """A round length, without noughts after it."""
    return in_use().ruler(metres).replace(",", THIN_SPACE)


def height_unit() -> Unit:
    """Of heights, ascent and descent."""
    return UNITS[in_use().height]


def height(metres: float | None) -> str:
    """A height to the unit."""
    unit = height_unit()
    return UNKNOWN if metres is None else f"{number(metres / unit.size)} {unit.name}"


def climb(low_high_m: tuple[float, float]) -> str:
    """The range that an ascent or a descent is known in, metres."""
    low, high = (one / height_unit().size for one in low_high_m)
    return between((low, high), height_unit().name)


def speed_unit() -> Unit:
    """Of the axis of speeds: one, where words have two."""
    return UNITS[in_use().speed or "m/s"]


def speed(mps: float | None) -> str:
    """In the metric system both ways."""
    return UNKNOWN if mps is None else ", ".join(in_use().rates(mps))


def rounded(value: float | None, unit: str, decimals: int = 0) -> str:
    """With its unit."""
    return UNKNOWN if value is None else f"{number(value, decimals)} {unit}".rstrip()


def span(seconds: float | None) -> str:
    """A length of time: 4 s, 2 min 10 s, 3 h 12 min, 2 days 3 h."""
    if seconds is None:
        return UNKNOWN
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60:02d} s"
    if whole < 2 * 86_400:
        return f"{whole // 3600} h {whole % 3600 // 60:02d} min"
    return f"{whole // 86_400} days {whole % 86_400 // 3600} h"


def between(low_high: tuple[float, float], unit: str, decimals: int = 0) -> str:
    """A range, its lower end first; one figure where both are the same."""
    low, high = (number(one, decimals) for one in low_high)
    return f"{low} {unit}" if low == high else f"{low} {TO} {high} {unit}"


def share(part: int, whole: int) -> str:
    """A percentage that says neither none nor all where it is not: below 1 % and above 99 % with a tenth more."""
    if not whole:
        return UNKNOWN
    percent = 100 * part / whole
    if part in (0, whole):
        return f"{percent:.0f} %"
    if percent < 0.1 or percent > 99.9:
        return "under 0.1 %" if percent < 0.1 else "over 99.9 %"
    return f"{percent:.1f} %" if percent < 1 or percent > 99 else f"{percent:.0f} %"


UNITS_IN_WORDS = {
    "m": "metres",
    "ft": "feet",
    "m/s": "metres a second",
    "km/h": "kilometres an hour",
    "mph": "miles an hour",
    "kn": "knots",
}
"""Of heights and speeds, for what a chart says."""


def many(count: int, one: str, more: str | None = None) -> str:
    """A count and its noun."""
    return f"{number(count)} {one if count == 1 else more or one + 's'}"
