"""The user's units, and lengths, speeds and heights in them. Inside all is SI; only what a person reads comes by here.

The units in use are the process's, as a locale is: one user reads all that it says. The board's state carries them too
(`BoardState.units`), so that every pane is drawn anew when they change.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple


class Unit(NamedTuple):
    """A unit of length or speed."""

    name: str
    """As it is written behind a figure."""
    size: float
    """In metres, or metres a second."""


FOOT_M, YARD_M, MILE_M, NAUTICAL_MILE_M = 0.3048, 0.9144, 1609.344, 1852.0
"""International yard and pound agreement of 1959; SI brochure, 8th edition, table 8 (from memory, both exact)."""
UNITS = {
    "m": Unit("m", 1.0),
    "km": Unit("km", 1000.0),
    "ft": Unit("ft", FOOT_M),
    "yd": Unit("yd", YARD_M),
    "mi": Unit("mi", MILE_M),
    "NM": Unit("NM", NAUTICAL_MILE_M),
    "m/s": Unit("m/s", 1.0),
    "km/h": Unit("km/h", 1 / 3.6),
    "mph": Unit("mph", MILE_M / 3600),
    "kn": Unit("kn", NAUTICAL_MILE_M / 3600),
}
_FINE = {"m": Unit("cm", 0.01), "ft": Unit("in", 0.0254), "yd": Unit("in", 0.0254)}
"""What errors below one are written in."""
_SHORT_TO_M = 999.5
"""Up to this a way is short in metric units: the last that is written as three figures."""
_WIDEST_MPS = 99.9
"""Speeds up to this keep their unit in its place: 360 km/h. What is faster is no walker, boat or car."""
_NAMED = re.compile(r"(?<![\w.,:])(\d{1,6}(?:\.\d{1,3})?) (k?m)(?![\w/])", re.ASCII)
"""A length in a text of ours, `15 m` or `2 km`, and no speed. Texts that name a band, as 2 m, are not to come here."""
_TYPED = re.compile(r"(\d{1,9}(?:[.,]\d{1,15})?) ?([a-z']{0,14})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Units:
    """Which to write in: names in `UNITS`."""

    distance: str = "km"
    """Of long ways: km, mi, NM."""
    short: str = "m"
    """Of short ways and of errors: m, yd, ft."""
    speed: str = ""
    """m/s, km/h, mph, kn; empty: metres a second and kilometres an hour, side by side."""
    height: str = "m"
    """m, ft."""

    def way(self, metres: float) -> str:
        """A distance with its unit: short ways to the unit, long ones to a hundredth, very long ones to the unit."""
        short, long = UNITS[self.short], UNITS[self.distance]
        if metres < self.short_to_m:
            return f"{metres / short.size:.0f} {short.name}"
        figure = metres / long.size
        return f"{figure:.2f} {long.name}" if figure < 99.995 else f"{figure:,.0f} {long.name}"

    def coarse(self, metres: float) -> str:
        """A distance for prose: to the unit, or a tenth of the long one."""
        short, long = UNITS[self.short], UNITS[self.distance]
        if metres < 1000 * short.size:
            return self.plain(metres)
        return f"{metres / long.size:,.1f} {long.name}"

    @property
    def short_to_m(self) -> float:
        """From here on, metres, a way is long: 1000 m, yards or feet, which is the last short one of three figures."""
        return _SHORT_TO_M * UNITS[self.short].size

    def error(self, metres: float) -> str:
        """An error: two figures are all that an estimate is worth."""
        short, fine = UNITS[self.short], _FINE[self.short]
        figure = metres / short.size
        if figure < 0.995:
            return f"{metres / fine.size:.0f} {fine.name}"
        return f"{figure:.1f} {short.name}" if figure < 9.95 else self.way(metres)

    def long(self, metres: float, decimals: int = 1) -> str:
        """A distance in the long unit, however short."""
        return f"{metres / UNITS[self.distance].size:,.{decimals}f} {self.distance}"

    def rate(self, mps: float) -> str:
        """A speed with its unit; in the metric system both."""
        return "  ".join(self.rates(mps))

    def rates(self, mps: float) -> tuple[str, ...]:
        """The same, each unit apart."""
        return tuple(f"{mps / UNITS[name].size:.1f} {name}" for name in self._rate_names)

    def steady_rate(self, mps: float) -> str:
        """The same with room before it, so that a unit stays where it is when its figure gets another digit."""
        widths = [len(f"{_WIDEST_MPS / UNITS[name].size:.1f} {name}") for name in self._rate_names]
        # One blank: before all speeds but the highest there are more of them, and panes are narrow.
        return " ".join(f"{one:>{width}}" for one, width in zip(self.rates(mps), widths, strict=True))

    @property
    def _rate_names(self) -> tuple[str, ...]:
        return (self.speed,) if self.speed else ("m/s", "km/h")

    def high(self, metres: float, decimals: int = 0) -> str:
        """A height with its unit; of feet a decimal less is worth the same."""
        return f"{self.height_figure(metres):,.{self.height_decimals(decimals)}f} {self.height}".replace(",", "")

    def height_figure(self, metres: float) -> float:
        """Without it."""
        return metres / UNITS[self.height].size

    def height_decimals(self, of_metres: int) -> int:
        """How many a height has that in metres has so many: a foot is a third of a metre."""
        return of_metres if self.height == "m" else max(0, of_metres - 1)

    def exact(self, metres: float, decimals: int = 1, *, signed: bool = False) -> str:
        """A short length with so many decimals of its metres, and as many of feet or yards."""
        unit = UNITS[self.short]
        return f"{metres / unit.size:{'+' if signed else ''},.{decimals}f} {unit.name}"

    def scale_unit(self, metres: float) -> Unit:
        """What a ruler of about that length is divided in."""
        short = UNITS[self.short]
        if metres >= self.short_to_m:
            return UNITS[self.distance]
        return short if metres >= short.size else _FINE[self.short]

    def ruler(self, metres: float) -> str:
        """A round length of such a ruler: no more figures than it has."""
        unit = self.scale_unit(metres * 1.000001)
        return f"{round(metres / unit.size, 6):,g} {unit.name}"

    def plain(self, metres: float) -> str:
        """A short length to the unit, however long."""
        return f"{metres / UNITS[self.short].size:.0f} {self.short}"

    def own_lengths(self, text: str) -> str:
        """A text of ours that names lengths in metres or kilometres, with them in these units.

        For prose that is written once, as thresholds are: the figures in it are round in metres, so that elsewhere
        they have to be told as finely as that.
        """
        return _NAMED.sub(lambda found: self._as_fine(found[0], UNITS[found[2]], float(found[1])), text)

    def _as_fine(self, told: str, unit: Unit, figure: float) -> str:
        own = UNITS[self.short if unit.name == "m" else self.distance]
        if own == unit:
            return told
        other = figure * unit.size / own.size
        return f"{other:.0f} {own.name}" if other >= 9.5 else f"{other:.2g} {own.name}"


METRIC = Units()
SYSTEMS: Mapping[str, Units] = {
    "metric": METRIC,
    "statute": Units("mi", "ft", "mph", "ft"),
    "nautical": Units("NM", "m", "kn", "m"),
}
_in_use = METRIC


def in_use() -> Units:
    """Those that this process writes in."""
    return _in_use


def use(units: Units) -> None:
    """Write in these from now on."""
    global _in_use  # noqa: PLW0603  # the process's, as its locale: see above
    _in_use = units


# What somebody types

_SPELLED = {
    "m": ("metre", "metres", "meter", "meters"),
    "km": ("kilometre", "kilometres", "kilometer", "kilometers"),
    "ft": ("'", "foot", "feet"),
    "yd": ("yds", "yard", "yards"),
    "mi": ("mile", "miles"),
    "NM": ("nmi", "nautical mile", "nautical miles"),
}
_SIZES_M = {word: UNITS[name].size for name, words in _SPELLED.items() for word in (name.lower(), *words)}
_SIZES_M |= {"mm": 0.001, "cm": 0.01, "in": _FINE["ft"].size, "inch": _FINE["ft"].size, "inches": _FINE["ft"].size}
"""`m` is a metre, never a mile; `nm` in any case a nautical mile: nobody types a billionth of a metre here."""
LENGTH_UNITS = tuple(sorted(_SIZES_M, key=len, reverse=True))
"""How units of length may be typed, the longest first."""


def length_unit_m(word: str) -> float | None:
    """How many metres a unit has as somebody types it; None for what is none. Whatever the units in use."""
    return _SIZES_M.get(" ".join(word.lower().split()))


def length_m(text: str, bare_m: float | None = None) -> float | None:
    """A length as somebody types it, `500 ft` or `3mi`, in metres; None for what is none.

    `bare_m`: what a bare number counts, in metres; None: it has to have its unit. It does not follow the units in use:
    the same figure must not mean something else, in a file or in a habit, because a setting has changed.
    """
    found = _TYPED.fullmatch(" ".join(text.lower().split()).replace("nautical mile", "nmi").replace("nmis", "nmi"))
    if found is None:
        return None
    size_m = length_unit_m(found[2]) if found[2] else bare_m
    return None if size_m is None else float(found[1].replace(",", ".")) * size_m
