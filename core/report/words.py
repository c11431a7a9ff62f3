"""Figures to words on the page: metric, no more figures than they are worth, a dash where nothing is known."""

from __future__ import annotations

from core.report.markup import THIN_SPACE

UNKNOWN = "-"
MINUS = "\N{MINUS SIGN}"
TO = "\N{EN DASH}"


def number(value: float, decimals: int = 0) -> str:
    """With a true minus sign, and none before nothing."""
    short = f"{value:,.{decimals}f}".replace(",", THIN_SPACE)
    return (short.replace("-", "") if not short.strip("-0.") else short).replace("-", MINUS)


def length(metres: float | None) -> str:
    """Two to four figures: centimetres, metres, kilometres."""
    if metres is None:
        return UNKNOWN
    if metres < 0.995:
        return f"{number(metres * 100)} cm"
    if metres < 9.95:
        return f"{number(metres, 1)} m"
    if metres < 999.5:
        return f"{number(metres)} m"
    return f"{number(metres / 1000, 2 if metres < 99_995 else 0)} km"


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


def many(count: int, one: str, more: str | None = None) -> str:
    """A count and its noun."""
    return f"{number(count)} {one if count == 1 else more or one + 's'}"
