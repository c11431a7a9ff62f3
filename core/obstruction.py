"""What stands in the way, learned from satellites that should be heard and are not.

A cell is a piece of the sky. It counts an epoch only if a satellite was reported there: where none has been, nothing is
known. A receiver that lists only what it hears says nothing of what is hidden, and then nothing is claimed.

A satellite that is not heard may also be ill, or switched off, or just not tried: one alone hides a cell only after it
has been there for a while.
"""

from __future__ import annotations

from typing import NamedTuple

from core.fix import Satellite

SECTOR_DEG, BAND_DEG = 10, 5
SECTORS, BANDS = 360 // SECTOR_DEG, 90 // BAND_DEG
LEAST_EPOCHS = 10
"""Of a satellite in a cell before it says anything."""
HIDDEN_SHARE = 0.5
"""More than this share of the epochs without signal: hidden (our own choice; signals behind an edge come and go)."""
WEAK_DBHZ = 28
"""Below it the broadcast no longer decodes reliably (trade-facts.md a, from memory of textbooks)."""


class Cell(NamedTuple):
    """One piece of the sky; counts are epochs times satellites."""

    known: int = 0
    """A satellite was reported there."""
    heard: int = 0
    """It had a signal."""
    strong: int = 0
    """One that decodes well."""
    in_fix: int = 0

    @property
    def hidden_share(self) -> float | None:
        """Share of the time without a signal, 0 to 1; None where not enough is known."""
        return None if self.known < LEAST_EPOCHS else 1.0 - self.heard / self.known


UNKNOWN = Cell()


class Edge(NamedTuple):
    """The skyline in one sector, as far as it is known."""

    azimuth_deg: int
    """Middle of the sector."""
    at_least_deg: int | None
    """Hidden up to here; None where nothing was found hidden."""
    at_most_deg: int | None
    """Free from here on; None where nothing was found free."""


class ObstructionMap(NamedTuple):
    """The whole sky."""

    cells: tuple[tuple[Cell, ...], ...] = ()
    """By sector clockwise from north (`SECTOR_DEG`), each by band from the horizon up (`BAND_DEG`)."""
    tells_hidden: bool = False
    """Whether this receiver has ever listed a satellite that it did not hear: else nothing can be known hidden."""

    def cell(self, azimuth_deg: float, elevation_deg: float) -> Cell:
        """That of a direction; elevation 0 to 90."""
        if not self.cells:
            return UNKNOWN
        return self.cells[int(azimuth_deg % 360.0) // SECTOR_DEG][min(int(elevation_deg) // BAND_DEG, BANDS - 1)]

    def skyline(self) -> tuple[Edge, ...]:
        """By sector, clockwise from north."""
        return tuple(_edge(number, bands) for number, bands in enumerate(self.cells))


class Obstruction:
    """Counts."""

    def __init__(self) -> None:
        self._cells = [[[0, 0, 0, 0] for _ in range(BANDS)] for _ in range(SECTORS)]
        self._tells_hidden = False

    def take(self, one: Satellite, azimuth_deg: int, elevation_deg: int) -> None:
        """One satellite in one epoch, elevation 0 to 90."""
        cell = self._cells[azimuth_deg % 360 // SECTOR_DEG][min(elevation_deg // BAND_DEG, BANDS - 1)]
        cell[0] += 1
        if one.cno_dbhz:
            cell[1] += 1
            cell[2] += one.cno_dbhz >= WEAK_DBHZ
        else:
            self._tells_hidden = True
        cell[3] += one.in_fix

    def map(self) -> ObstructionMap:
        """As of now."""
        cells = tuple(tuple(Cell(*counts) for counts in bands) for bands in self._cells)
        return ObstructionMap(cells, self._tells_hidden)


def _edge(number: int, bands: tuple[Cell, ...]) -> Edge:
    """The edge that contradicts the fewest cells: hidden below it, free above."""
    middle = number * SECTOR_DEG + SECTOR_DEG // 2
    known = [(band, share > HIDDEN_SHARE) for band, share in _shares(bands)]
    edge = min(range(BANDS + 1), key=lambda at: sum((band < at) is not hidden for band, hidden in known))
    below = [band for band, hidden in known if hidden and band < edge]
    above = [band for band, hidden in known if not hidden and band >= edge]
    at_least = (max(below) + 1) * BAND_DEG if below else None
    return Edge(middle, at_least, min(above) * BAND_DEG if above else None)


def _shares(bands: tuple[Cell, ...]) -> list[tuple[int, float]]:
    return [(band, share) for band, cell in enumerate(bands) if (share := cell.hidden_share) is not None]
