"""Amateur bands by their usual names, and the frequencies that belong to them.

The limits are the widest of the three ITU regions (Radio Regulations, article 5, from memory): they serve to tell what
a list means and to filter it, not what may be transmitted where. Which part of a band is allocated is the licence's to
say.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

KHZ, MHZ, GHZ = 1_000, 1_000_000, 1_000_000_000


class Band(NamedTuple):
    """One of them."""

    name: str
    """By its wavelength, `2 m`, as amateurs call it (common practice)."""
    low_hz: int
    high_hz: int

    @property
    def width_hz(self) -> int:
        """From end to end."""
        return self.high_hz - self.low_hz


def _band(name: str, low: float, high: float, unit: int = MHZ) -> Band:
    return Band(name, round(low * unit), round(high * unit))


BANDS: tuple[Band, ...] = (
    _band("2200 m", 135.7, 137.8, KHZ),
    _band("630 m", 472, 479, KHZ),
    _band("160 m", 1.8, 2.0),
    _band("80 m", 3.5, 4.0),
    _band("60 m", 5.25, 5.45),
    _band("40 m", 7.0, 7.3),
    _band("30 m", 10.1, 10.15),
    _band("20 m", 14.0, 14.35),
    _band("17 m", 18.068, 18.168),
    _band("15 m", 21.0, 21.45),
    _band("12 m", 24.89, 24.99),
    _band("10 m", 28.0, 29.7),
    _band("8 m", 40.0, 44.0),
    _band("6 m", 50.0, 54.0),
    _band("4 m", 69.9, 70.5),
    _band("2 m", 144.0, 148.0),
    _band("1.25 m", 220.0, 225.0),
    _band("70 cm", 420.0, 450.0),
    _band("33 cm", 902.0, 928.0),
    _band("23 cm", 1240.0, 1300.0),
    _band("13 cm", 2300.0, 2450.0),
    _band("9 cm", 3300.0, 3500.0),
    _band("6 cm", 5650.0, 5925.0),
    _band("3 cm", 10.0, 10.5, GHZ),
    _band("12 mm", 24.0, 24.25, GHZ),
    _band("6 mm", 47.0, 47.2, GHZ),
    _band("4 mm", 75.5, 81.5, GHZ),
    _band("2.5 mm", 122.25, 123.0, GHZ),
    _band("2 mm", 134.0, 141.0, GHZ),
    _band("1.2 mm", 241.0, 250.0, GHZ),
)

_NUMBER = re.compile(r"(\d{1,6}(?:[.,]\d{1,6})?)\s*(mm|cm|m|khz|mhz|ghz)?", re.ASCII)
_UNITS = {"khz": KHZ, "mhz": MHZ, "ghz": GHZ, "": MHZ}


@lru_cache(maxsize=4096)
def band_of(frequency_hz: int) -> Band | None:
    """The band that a frequency lies in, its ends included."""
    return next((band for band in BANDS if band.low_hz <= frequency_hz <= band.high_hz), None)


def named_band(text: str) -> Band | None:
    """The band meant by `2m`, `70 cm`, `144`, `430 MHz` or `10 GHz`; None where there is none of that name."""
    plain = " ".join(text.strip().lower().split())
    wanted = plain.replace(" ", "")
    for band in BANDS:
        if band.name.replace(" ", "") == wanted:
            return band
    found = _NUMBER.fullmatch(plain)
    if not found or found[2] in {"mm", "cm", "m"}:
        return None
    return band_of(round(float(found[1].replace(",", ".")) * _UNITS[found[2] or ""]))
