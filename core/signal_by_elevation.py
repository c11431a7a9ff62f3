"""How strong the signals are by how high their satellites stand, counted in whole dB."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import NamedTuple

BAND_DEG = 5
BANDS = 90 // BAND_DEG
HIGHEST_DBHZ = 99
"""What two digits of a sentence can say."""
MOST_SYSTEMS = 16
LEAST_COUNT = 10
"""Signals in a band before they say what is usual there."""
APART_DB = 3
"""The systems are received with no more than this difference (common practice, no source: 1 to 3 dB)."""
ALL = ""
"""In the place of a system's letter: all of them."""


class SignalBand(NamedTuple):
    """All signals heard of one system in one band of elevation."""

    system: str
    elevation_deg: int
    """Its lower edge; `BAND_DEG` wide."""
    count: int  # type: ignore[assignment]  # hides tuple.count: nobody counts a value in a band
    """Epochs times satellites."""
    median_dbhz: int
    low_dbhz: int
    """A tenth are weaker."""
    high_dbhz: int
    """A tenth are stronger."""


class SignalByElevation:
    """Counts. Bounded: 18 bands of a hundred figures for each system."""

    def __init__(self) -> None:
        self._counts: dict[str, list[list[int]]] = {}

    def take(self, system: str, elevation_deg: int, cno_dbhz: int) -> None:
        """One satellite in one epoch; elevation 0 to 90."""
        bands = self._counts.get(system)
        if bands is None:
            if len(self._counts) >= MOST_SYSTEMS:
                return
            bands = self._counts[system] = [[0] * (HIGHEST_DBHZ + 1) for _ in range(BANDS)]
        bands[min(elevation_deg // BAND_DEG, BANDS - 1)][min(max(cno_dbhz, 0), HIGHEST_DBHZ)] += 1

    def bands(self) -> tuple[SignalBand, ...]:
        """By system, then from the horizon up; bands where nothing was heard are left out."""
        return tuple(
            _band(system, number, counts)
            for system, bands in sorted(self._counts.items())
            for number, counts in enumerate(bands)
            if any(counts)
        )

    def together(self) -> tuple[SignalBand, ...]:
        """All systems as one, named `ALL`."""
        sums = [[sum(same) for same in zip(*bands, strict=True)] for bands in zip(*self._counts.values(), strict=True)]
        return tuple(_band(ALL, number, counts) for number, counts in enumerate(sums) if any(counts))


def usual_dbhz(bands: Iterable[SignalBand]) -> dict[tuple[str, int], int]:
    """What a free view gives at each height, by system and lower edge of the band: the strongest tenth begins there.

    Never less than lower down: an antenna that lies flat hears better what stands higher (common practice, no source).
    Nor much less than of the strongest system, for of a few satellites none may stand in the open.
    """
    found: dict[tuple[str, int], int] = {}
    highest: dict[str, int] = {}
    for height, level in groupby(sorted(bands, key=_height), key=_height):
        here = list(level)
        for one in here:
            if one.count >= LEAST_COUNT:
                highest[one.system] = max(highest.get(one.system, 0), one.high_dbhz)
        least = max(highest.values(), default=0) - APART_DB
        found |= {(one.system, height): max(highest.get(one.system, 0), least) for one in here}
    return found


def _height(band: SignalBand) -> int:
    return band.elevation_deg


def _band(system: str, number: int, counts: list[int]) -> SignalBand:
    total = sum(counts)
    low, median, high = (_rank(counts, share * total) for share in (0.1, 0.5, 0.9))
    return SignalBand(system, number * BAND_DEG, total, median, low, high)


def _rank(counts: list[int], rank: float) -> int:
    """The smallest figure at or below which at least `rank` of them lie."""
    so_far = 0
    for figure, count in enumerate(counts):
        so_far += count
        if count and so_far >= rank:
            return figure
    return 0
