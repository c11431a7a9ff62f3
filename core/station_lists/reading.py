"""A file of stations, understood: the entrance of this package."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from operator import attrgetter
from pathlib import Path

from core.errors import InputError
from core.plain_files import read_plain
from core.station_lists.audit import duplicates
from core.station_lists.decoding import decoded
from core.station_lists.geo_documents import table_of_geojson, table_of_gpx
from core.station_lists.headers import Field, understood
from core.station_lists.rows import Layout, RowReader
from core.station_lists.separated import separated
from core.station_lists.table import BIGGEST_BYTES, Table
from core.stations import Column, Finding, Station, StationList

ENDINGS = (".csv", ".tsv", ".txt", ".gpx", ".geojson", ".json")
"""Of files that are looked for in a folder of lists."""
_PLACES = frozenset({Field.LATITUDE, Field.LONGITUDE, Field.PLACE, Field.LOCATOR})


def read_list(path: Path) -> StationList:
    """The list in a file. Raises InputError for what cannot be read, or holds no column that says where."""
    return list_of(bytes_of(path), path)


def list_of(data: bytes, path: Path) -> StationList:
    """The same of its bytes; `path` gives name and kind."""
    table = _table_reader(path)(data, path.name)
    headings = understood(table.headers)
    if not any(heading.field in _PLACES for heading in headings):
        raise InputError(
            f"{path.name} has no column that says where: a locator, latitude and longitude, or a place in any notation"
        )
    reader = RowReader(Layout(headings, path.name))
    stations: list[Station] = []
    findings: list[Finding] = []
    for row in table.rows:
        station, doubts = reader.station(row)
        stations.append(station)
        findings.extend(doubts)
    findings.extend(duplicates(stations))
    columns = tuple(Column(one.text, one.field.value if one.field else "") for one in headings)
    return StationList(path, tuple(stations), columns, _by_row(findings), table.read_as)


def _table_reader(path: Path) -> Callable[[bytes, str], Table]:
    ending = path.suffix.lower()
    if ending == ".gpx":
        return table_of_gpx
    if ending in {".geojson", ".json"}:
        return table_of_geojson
    return lambda data, name: separated(decoded(data), name)


def _by_row(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=attrgetter("row")))


def bytes_of(path: Path) -> bytes:
    """What is in the file. Raises InputError where it cannot be read, or is larger than any list."""
    try:
        data = read_plain(path, BIGGEST_BYTES)
    except OSError as error:
        raise InputError(f"{path} cannot be read ({error.strerror or error}): check the name") from error
    if len(data) > BIGGEST_BYTES:
        raise InputError(f"{path} is larger than {BIGGEST_BYTES // 2**20} MB: split it into several lists")
    return data
