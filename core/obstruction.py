"""What stands in the way, learned from satellites that should be heard and are not.

A cell is a piece of the sky. It counts an epoch only if a satellite was reported there: where none has been, nothing is
known. A receiver that lists only what it hears says nothing of what is hidden, and then nothing is claimed.

Between houses a satellite is often heard by way of a wall only, 10 to 20 dB weaker (common practice, no source). So a
weak signal proves neither a wall nor a free view: only silence counts as hidden, only a signal of the usual strength
as free, and the skyline is told by a lower and an upper bound. From an antenna that moves all this is a mixture of what
stood along the way.

A satellite that is not heard may also be ill, or switched off, or just not tried: one alone hides a cell only after it
has been there for a while.
"""

from __future__ import annotations

from array import array
from collections.abc import Mapping
from typing import NamedTuple

from core.fix import Satellite
from core.signal_by_elevation import HIGHEST_DBHZ, MOST_SYSTEMS

SECTOR_DEG, BAND_DEG = 10, 5
SECTORS, BANDS = 360 // SECTOR_DEG, 90 // BAND_DEG
LEAST_EPOCHS = 10
"""Of a satellite in a cell before it says anything."""
HIDDEN_SHARE = 0.5
"""More than this share of the epochs without signal: hidden (our own choice; signals behind an edge come and go)."""
CLEAR_SHARE = 2 / 3
"""More than this share of the epochs with a signal of the usual strength: clear (our own choice, see `WEAKER_DB`; a
bounce swings by several dB over tens of seconds, trade-facts.md a)."""
WEAKER_DB = 8
"""So much below what is usual at its height, a signal is weak: less than a bounce costs, more than satellites of a kind
differ in the open (some dB; our own choice)."""
Usual = Mapping[tuple[str, int], int]
"""What is usual in the open, dB-Hz, by system and lower edge of the band of elevation."""
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
    weak: int = 0
    """It had a signal, but a much weaker one than is usual at its height."""

    @property
    def hidden_share(self) -> float | None:
        """Share of the time without a signal, 0 to 1; None where not enough is known."""
        return None if self.known < LEAST_EPOCHS else 1.0 - self.heard / self.known

    @property
    def is_clear(self) -> bool:
        """Whether a satellite was heard there as in the open, for most of the time. Not clear is not yet hidden."""
        return self.known >= LEAST_EPOCHS and self.heard - self.weak > CLEAR_SHARE * self.known


UNKNOWN = Cell()


class Edge(NamedTuple):
    """The skyline in one sector, as far as it is known."""

    azimuth_deg: int
    """Middle of the sector."""
    at_least_deg: int | None
    """Hidden up to here; None where nothing was found hidden."""
    at_most_deg: int | None
    """Clear from here on; None where nothing was found clear."""


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


Place = tuple[int, int]
"""Sector and band."""


class Obstruction:
    """Counts. Bounded: 648 cells, in each at most 16 systems with 800 bytes of strengths."""

    def __init__(self) -> None:
        self._cells = [[[0, 0, 0, 0] for _ in range(BANDS)] for _ in range(SECTORS)]
        self._strengths: dict[Place, dict[str, array[int]]] = {}
        self._tells_hidden = False

    def take(self, one: Satellite, azimuth_deg: int, elevation_deg: int) -> None:
        """One satellite in one epoch, elevation 0 to 90."""
        place = (azimuth_deg % 360 // SECTOR_DEG, min(elevation_deg // BAND_DEG, BANDS - 1))
        cell = self._cells[place[0]][place[1]]
        cell[0] += 1
        if one.cno_dbhz:
            cell[1] += 1
            cell[2] += one.cno_dbhz >= WEAK_DBHZ
            self._take_strength(place, one.name[:1], one.cno_dbhz)
        else:
            self._tells_hidden = True
        cell[3] += one.in_fix

    def map(self, usual: Usual) -> ObstructionMap:
        """As of now. Where it is not known what is usual, no signal is weak."""
        cells = tuple(
            tuple(Cell(*counts)._replace(weak=self._weak((sector, band), usual)) for band, counts in enumerate(bands))
            for sector, bands in enumerate(self._cells)
        )
        return ObstructionMap(cells, self._tells_hidden)

    def _take_strength(self, place: Place, system: str, cno_dbhz: int) -> None:
        systems = self._strengths.setdefault(place, {})
        counts = systems.get(system)
        if counts is None:
            if len(systems) >= MOST_SYSTEMS:
                return
            counts = systems[system] = array("L", bytes(array("L").itemsize * (HIGHEST_DBHZ + 1)))
        counts[min(max(cno_dbhz, 0), HIGHEST_DBHZ)] += 1

    def _weak(self, place: Place, usual: Usual) -> int:
        """How often a signal was weak in a cell."""
        found = 0
        for system, counts in self._strengths.get(place, {}).items():
            found += sum(counts[: max(0, usual.get((system, place[1] * BAND_DEG), 0) - WEAKER_DB)])
        return found


def _edge(number: int, bands: tuple[Cell, ...]) -> Edge:
    """The edge that contradicts the fewest cells: hidden below it, clear above."""
    middle = number * SECTOR_DEG + SECTOR_DEG // 2
    known = [(band, not cell.is_clear) for band, cell in enumerate(bands) if cell.is_clear or _is_hidden(cell)]
    edge = min(range(BANDS + 1), key=lambda at: sum((band < at) is not hidden for band, hidden in known))
    below = [band for band, hidden in known if hidden and band < edge]
    above = [band for band, hidden in known if not hidden and band >= edge]
    at_least = (max(below) + 1) * BAND_DEG if below else None
    return Edge(middle, at_least, min(above) * BAND_DEG if above else None)


def _is_hidden(cell: Cell) -> bool:
    return cell.hidden_share is not None and cell.hidden_share > HIDDEN_SHARE
