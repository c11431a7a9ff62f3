"""Which stations of a book are wanted: by band, by mode, by words. What is compared is worked out once a station."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from core.bands import BANDS, MHZ, named_band
from core.errors import InputError
from core.stations import Station

OUTSIDE = "other"
"""In the place of a band: stations whose output lies in none, or is not known."""
MOST_MODES = 12
"""So many of the modes in a list are offered, the commonest first: a list with notes for modes has hundreds."""
_BETWEEN_MODES = re.compile(r"[,;/+&|]|\band\b")


class Wanted(NamedTuple):
    """What to show; empty: all."""

    band: str = ""
    """A band's name as in `core.bands`, or `other`."""
    mode: str = ""
    words: str = ""
    """All of them, anywhere in the station's texts."""


class Keys(NamedTuple):
    """What one station is compared by, casefolded."""

    band: str
    modes: tuple[str, ...]
    text: str


def keys_of(station: Station) -> Keys:
    """Takes some microseconds."""
    band = station.band
    name = band.name if band else OUTSIDE
    return Keys(name, modes_of(station.mode), _text(station, name))


def modes_of(text: str) -> tuple[str, ...]:
    """The modes that one cell names: `FM / DMR` are two, `FM narrow` is one."""
    parts = (" ".join(part.split()) for part in _BETWEEN_MODES.split(text.casefold()))
    return tuple(part for part in parts if part)


def chosen(keys: Sequence[Keys], numbers: Sequence[int], wanted: Wanted) -> Sequence[int]:
    """Of these numbers those whose keys are wanted, in their order; the same object where all are."""
    mode, words = " ".join(wanted.mode.casefold().split()), wanted.words.casefold().split()
    found = numbers
    if wanted.band:
        found = [n for n in found if keys[n].band == wanted.band]
    if mode:
        found = [n for n in found if _has_mode(keys[n].modes, mode)]
    for word in words:
        found = [n for n in found if word in keys[n].text]
    return found


def bands_in(keys: Iterable[Keys]) -> tuple[str, ...]:
    """Bands that there are stations on, the longest waves first, `other` last."""
    there = {one.band for one in keys}
    return tuple(name for name in (*(band.name for band in BANDS), OUTSIDE) if name in there)


def modes_in(keys: Iterable[Keys]) -> tuple[str, ...]:
    """Modes that stations have, the commonest first, a dozen at most."""
    counted = Counter(mode for one in keys for mode in one.modes)
    return tuple(sorted(counted, key=lambda mode: (-counted[mode], mode))[:MOST_MODES])


def band_named(text: str) -> str:
    """The band that the user means; empty for all. Raises InputError for none that we know."""
    if not text.strip():
        return ""
    found = named_band(text)
    if found is None:
        raise InputError(f"{text.strip()[:20]!r} is no amateur band: write for example 2m, 70cm, 23 cm, or 145 MHz")
    return found.name


def _has_mode(modes: tuple[str, ...], mode: str) -> bool:
    """The whole of one of the station's, or a word of it: FM is in `FM narrow`, and not in `C4FM`."""
    return any(mode == one or mode in one.split() for one in modes)


def _text(station: Station, band: str) -> str:
    frequency = "" if station.output_hz is None else f"{station.output_hz / MHZ:.4f}"
    more = (cell for _, cell in station.more)
    parts = (station.call, station.name, station.place, frequency, band, station.tone, station.mode, station.status,
             station.notes, *more)  # fmt: skip
    return "\n".join(parts).casefold()
