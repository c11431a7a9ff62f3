"""Values of options: what is typed on the command line, checked, with words for what is no such value."""

from __future__ import annotations

import argparse
import math
import re
from datetime import date, time

from core.shown import shown

FASTEST = ("max",)


def times(text: str) -> float:
    """Times the pace of life, 0.1 to 100, or infinity. Raises ArgumentTypeError."""
    if text in FASTEST:
        return math.inf
    return _within(text, (0.1, 100.0), "is not from 0.1 to 100, nor max")


def seconds(text: str) -> float:
    """Seconds, 0 to a day. Raises ArgumentTypeError."""
    return _within(text, (0.0, 86_400.0), "is not from 0 to 86400 seconds")


def baud(text: str) -> int:
    """Speed of a serial line. Raises ArgumentTypeError."""
    wrong = "is no speed of a serial line"
    value = _within(text, (300.0, 4_000_000.0), wrong)
    if value != int(value):
        raise argparse.ArgumentTypeError(f"{shown(text)} {wrong}")
    return int(value)


def seed(text: str) -> int:
    """Whole, 0 to 15 digits. Raises ArgumentTypeError."""
    if not (text.isascii() and text.isdigit() and len(text) <= 15):
        raise argparse.ArgumentTypeError(f"{shown(text)} is no whole number from 0 to 999999999999999")
    return int(text)


def count(text: str) -> int:
    """Whole, 1 to 100,000. Raises ArgumentTypeError."""
    if not (text.isascii() and text.isdigit() and len(text) <= 9 and 1 <= int(text) <= 100_000):
        raise argparse.ArgumentTypeError(f"{shown(text)} is no whole number from 1 to 100000")
    return int(text)


def day(text: str) -> date:
    """A date, 1901 to 2099. Raises ArgumentTypeError."""
    found = re.fullmatch(r"(\d{4})-(\d{2})-(\d{2})", text, re.ASCII)
    try:
        told = date(*(int(part) for part in found.groups())) if found else None
    except ValueError:
        told = None
    if told is None or not 1901 <= told.year <= 2099:  # what the sun is known for, core/sheet_time.py
        raise argparse.ArgumentTypeError(f"{shown(text)} is no date as 2026-03-20, from 1901 to 2099")
    return told


def wall_clock(text: str) -> time:
    """Hours and minutes. Raises ArgumentTypeError."""
    if not re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d", text, re.ASCII):
        raise argparse.ArgumentTypeError(f"{shown(text)} is no time as 08:30, from 00:00 to 23:59")
    return time(int(text[:2]), int(text[3:]))


def walking_kmh(text: str) -> float:
    """1 to 8 km/h. Raises ArgumentTypeError."""
    return _within(text, (1.0, 8.0), "is not from 1 to 8 km/h, a pace of walking")  # core/pace.py says why


def ambiguity(text: str) -> int:
    """Digits of an APRS position that are left blank, 0 to 4. Raises ArgumentTypeError."""
    if text not in {"0", "1", "2", "3", "4"}:
        raise argparse.ArgumentTypeError(f"{shown(text)} is no ambiguity: 0 to 4 digits are left blank")
    return int(text)


def course(text: str) -> float:
    """Degrees, 0 to 360. Raises ArgumentTypeError."""
    return _within(text, (0.0, 360.0), "is no course: it is from 0 to 360 degrees")


def speed(text: str) -> float:
    """Metres a second. Raises ArgumentTypeError."""
    # 999 knots is the most that the protocol's three digits say.
    return _within(text, (0.0, 514.0), "is not from 0 to 514 m/s")


def beamwidth(text: str) -> float:
    """Degrees, 0.1 to 360. Raises ArgumentTypeError."""
    return _within(text, (0.1, 360.0), "is no beamwidth: it is from 0.1 to 360 degrees")


def number(text: str) -> float:
    """Any number that is one. Raises ArgumentTypeError."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise argparse.ArgumentTypeError(f"{shown(text)} is not a number")
    return value


def _within(text: str, limits: tuple[float, float], wrong: str) -> float:
    """`wrong`: what is said of a number beyond either limit."""
    value = number(text)
    if not limits[0] <= value <= limits[1]:
        raise argparse.ArgumentTypeError(f"{shown(text)} {wrong}")
    return value
