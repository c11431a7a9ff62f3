"""Frequencies and shifts as people write them: 145.600, 145,600, 145600, 145600000, 145.600.000, 10.368 GHz, -0.6, +.

Without a unit it is megahertz where that lies in an amateur band, else kilohertz or hertz where that does. `None` is
"not understood", never 0.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from core.bands import GHZ, KHZ, MHZ, band_of

_UNITS = {"hz": 1, "khz": KHZ, "k": KHZ, "mhz": MHZ, "m": MHZ, "ghz": GHZ, "g": GHZ}
_FREQUENCY = re.compile(r"(\d{1,12}(?:[.,]\d{1,9})?)\s*([kmg]?hz|[kmg])?", re.ASCII | re.IGNORECASE)
_THOUSANDS = re.compile(r"\d{1,3}(?:[.,' ]\d{3}){2,3}", re.ASCII)
_SHIFT = re.compile(r"([+-]?)\s*(\d{0,9}(?:[.,]\d{1,9})?)\s*([kmg]?hz|[kmg])?\s*([+-]?)", re.ASCII | re.IGNORECASE)
_NONE = frozenset({"0", "none", "simplex", "s", "no"})
_MINUSES = str.maketrans({"\N{MINUS SIGN}": "-", "\N{EN DASH}": "-", "\N{EM DASH}": "-", "\N{PLUS-MINUS SIGN}": " "})
_DIRECTIONS = {"minus": -1, "negative": -1, "dup-": -1, "plus": 1, "positive": 1, "dup+": 1}
KILOHERTZ_FROM = 100.0
"""A bare shift of so much and more is kilohertz: the widest in use are some tens of megahertz (common practice)."""
HIGHEST_HZ = 300 * GHZ


def frequency_hz(text: str, unit_hz: float | None = None) -> int | None:
    """The frequency in hertz; `unit_hz`: what the header says that a bare figure is worth."""
    if _THOUSANDS.fullmatch(text.strip()):
        return _in_range(float(re.sub(r"\D", "", text)))
    found = _FREQUENCY.fullmatch(text.strip())
    if not found:
        return None
    figure, unit = float(found[1].replace(",", ".")), (found[2] or "").lower()
    if unit:
        return _in_range(figure * _UNITS[unit])
    if unit_hz:
        return _in_range(figure * unit_hz)
    choices = [_in_range(figure * each) for each in (MHZ, KHZ, 1)]
    return next((one for one in choices if one and band_of(one)), choices[0])


class Shift(NamedTuple):
    """Input less output."""

    hz: int | None
    """None where only its direction is told."""
    sign: int
    """-1, 0, 1."""


def shift_hz(text: str, unit_hz: float | None = None) -> Shift | None:
    """The shift, or None where the text is none."""
    plain = text.translate(_MINUSES).strip().lower()
    if plain in _NONE:
        return Shift(0, 0)
    if plain in _DIRECTIONS:
        return Shift(None, _DIRECTIONS[plain])
    found = _SHIFT.fullmatch(plain)
    if not found or not (found[1] or found[2] or found[4]):
        return None
    sign = -1 if "-" in {found[1], found[4]} else 1
    if not found[2]:
        return Shift(None, sign)
    figure = float(found[2].replace(",", "."))
    hz = round(sign * figure * _shift_unit(figure, (found[3] or "").lower(), unit_hz))
    return Shift(hz, sign if hz else 0) if abs(hz) <= HIGHEST_HZ else None


def _shift_unit(figure: float, unit: str, unit_hz: float | None) -> float:
    if unit:
        return _UNITS[unit]
    if unit_hz:
        return unit_hz
    return KHZ if figure >= KILOHERTZ_FROM else MHZ


def _in_range(hz: float) -> int | None:
    return round(hz) if 0.5 < hz <= HIGHEST_HZ else None
