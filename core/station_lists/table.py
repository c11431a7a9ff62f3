"""A list as rows of cells under headers, whatever kind of file it came from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

MOST_ROWS = 300_000
"""Beyond it a file is no list of stations that anybody keeps; it bounds memory to a few hundred megabytes."""
BIGGEST_BYTES = 64 * 1024 * 1024
MOST_CELLS = 200


class Row(NamedTuple):
    """Cells as they stand in the file, spaces around them removed."""

    number: int
    """Of the row in the file, from 1, headers included."""
    cells: tuple[str, ...]


class Table(NamedTuple):
    """All of them."""

    headers: tuple[str, ...]
    rows: Iterable[Row]
    read_as: str
    """How it was read, in words."""
