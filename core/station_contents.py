"""Several lists of stations together: each station once, ready to be searched, with what is doubtful about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import count
from pathlib import Path
from typing import NamedTuple

from core.bands import MHZ
from core.nearest import Finder
from core.places.geodesic import way
from core.station_filter import Keys, bands_in, keys_of, modes_in
from core.station_lists.audit import twins
from core.stations import Finding, Station, StationList


class Read(NamedTuple):
    """A list, or why there is none."""

    path: Path
    found: StationList | None
    trouble: str = ""
    """In words; empty where it could be read."""


class Also(NamedTuple):
    """The same station in a list that comes later, and left out there."""

    station: Station
    differs: tuple[tuple[str, str], ...]
    """What that list says otherwise: what it is, and its text."""


class Contents:
    """All lists together. Built once, off the screen; nothing in it changes afterwards."""

    def __init__(self, lists: Sequence[Read] = ()) -> None:
        """Takes some ten microseconds a station."""
        self.lists = tuple(lists)
        named = _told_apart(self.lists)
        every = [one for found in named.values() for one in found.stations]
        self._also: dict[_Row, list[Also]] = {}
        repeated = set()
        for station, first in twins(every):
            if station.source != first.source:
                repeated.add(_row(station))
                self._also.setdefault(_row(first), []).append(Also(station, _differs(first, station)))
        self.stations = tuple(one for one in every if _row(one) not in repeated)
        """Each once, in the order of the lists, those without a place included."""
        self.repeated = len(repeated)
        """How many were left out since a list before has them."""
        self.finder = Finder(self.stations)
        self.keys: tuple[Keys, ...] = tuple(map(keys_of, self.finder.stations))
        """What the finder's stations are compared by, in its order."""
        self.unplaced = tuple(one for one in self.stations if one.position is None)
        self.unplaced_keys: tuple[Keys, ...] = tuple(map(keys_of, self.unplaced))
        every_key = (*self.keys, *self.unplaced_keys)
        self.bands, self.modes = bands_in(every_key), modes_in(every_key)
        """Those that there are, to choose from."""
        self._findings: dict[_Row, list[Finding]] = {}
        for name, found in named.items():
            for one in found.findings:
                self._findings.setdefault((name, one.row), []).append(one)

    def also(self, station: Station) -> tuple[Also, ...]:
        """Where else it is listed."""
        return tuple(self._also.get(_row(station), ()))

    def findings(self, station: Station) -> tuple[Finding, ...]:
        """What is doubtful about it."""
        return tuple(self._findings.get(_row(station), ()))

    def named(self, text: str) -> tuple[Station, ...]:
        """Stations of this call or name, one a place: of several on the same spot the one that is known finest.

        Those without a place come last, and only where none has one.
        """
        wanted = _plain(text)
        found = [one for one in self.stations if wanted and wanted in {_plain(one.call), _plain(one.name)}]
        placed = [one for one in found if one.position is not None]
        return tuple(_apart(placed)) if placed else tuple(found[:1])


_Row = tuple[str, int]


def _row(station: Station) -> _Row:
    return station.source, station.row


def _told_apart(reads: Iterable[Read]) -> dict[str, StationList]:
    """By name; of two lists of one name in two folders the second gets a number, since rows are known by their list."""
    found: dict[str, StationList] = {}
    for read in reads:
        if read.found is None:
            continue
        name = next(name for name in _names(read.path.name) if name not in found)
        renamed = read.found
        if name != read.path.name:
            renamed = renamed._replace(stations=tuple(one._replace(source=name) for one in renamed.stations))
        found[name] = renamed
    return found


def _names(name: str) -> Iterator[str]:
    yield name
    yield from (f"{name} ({number})" for number in count(2))


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _differs(first: Station, second: Station) -> tuple[tuple[str, str], ...]:
    """Only what both say: a list that is silent contradicts nobody."""
    pairs = (
        ("input", _mhz(first.input_hz), _mhz(second.input_hz)),
        ("tone", first.tone, second.tone),
        ("status", first.status, second.status),
        ("verified", first.verified, second.verified),
    )
    return tuple((what, there) for what, here, there in pairs if here and there and _plain(here) != _plain(there))


def _mhz(hz: int | None) -> str:
    return "" if hz is None else f"{hz / MHZ:.4f} MHz"


def _apart(placed: list[Station]) -> list[Station]:
    """One of those that may be on the same spot, by how coarsely the coarser of two is known; the finest first."""
    kept: list[Station] = []
    for one in sorted(placed, key=lambda station: station.radius_m or 0.0):
        if not any(_may_be_one(one, other) for other in kept):
            kept.append(one)
    return kept


def _may_be_one(coarse: Station, fine: Station) -> bool:
    if coarse.position is None or fine.position is None:
        return False
    return way(coarse.position, fine.position).distance_m <= (coarse.radius_m or 0.0) + 1.0


EMPTY = Contents()
"""No list at all."""
