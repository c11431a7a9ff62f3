"""Separated values: whichever separator makes sense of the headers, quotes or none, title lines above or not."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from contextlib import suppress
from itertools import islice
from typing import NamedTuple

from core.errors import InputError
from core.station_lists.decoding import Decoded
from core.station_lists.headers import WORDS, Field, score
from core.station_lists.table import MOST_CELLS, MOST_ROWS, Row, Table

SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
LOOKED_AT = 20
"""Rows in which the headers are sought: people put a title and a date above them."""
LEAST_HEADERS = 2
LONGEST_ROW = 1_000_000
"""Characters: ten times what a spreadsheet's cell can hold. It bounds the memory: a cell may be a single comma."""
BREAKS_IN_A_CELL = 20
"""A cell with more line ends than this was opened by a quote that nobody closed (common practice, no source)."""


class _Way(NamedTuple):
    """How to cut the text."""

    separator: str
    quoted: bool = True


class _Found(NamedTuple):
    way: _Way
    at: int
    """Of the row of headers."""
    score: int


def separated(decoded: Decoded, name: str) -> Table:
    """The table. Raises InputError where no row can be the one of the headers."""
    text = decoded.text
    best = max((_search(text, separator) for separator in SEPARATORS), key=lambda found: found.score)
    if best.score < LEAST_HEADERS:
        known = ", ".join(words[0] for field, words in WORDS.items() if field is not Field.PLACE)
        raise InputError(
            f"{name} has no row of headers that could be understood: name the columns in its first row, "
            f"for example {known}"
        )
    way = best.way
    remark = ""
    if _runs_away(text, way):
        way, remark = way._replace(quoted=False), "; a quote is not closed rightly, so quotes were left out of account"
    rows = _rows(text, way)
    headers = next(islice(rows, best.at, None)).cells
    read_as = f"{decoded.encoding}, separated by {SEPARATORS[way.separator]}{remark}"
    return Table(headers, _bounded(rows, name), read_as)


def _search(text: str, separator: str) -> _Found:
    """The best row of headers that this separator makes."""
    way = _Way(separator)
    scores: list[int] = []
    with suppress(csv.Error):  # what came before it counts: headers come first
        scores.extend(score(row.cells[:MOST_CELLS]) for row in islice(_rows(text, way), LOOKED_AT))
    index = max(range(len(scores)), key=scores.__getitem__, default=0)
    return _Found(way, index, scores[index] if scores else 0)


def _rows(text: str, way: _Way) -> Iterator[Row]:
    """Rows that hold anything. Raises csv.Error for a row or cell that is too long, or text after a closing quote."""
    lines = _Lines(text)
    if way.quoted:
        reader = csv.reader(lines, delimiter=way.separator, strict=True)
    else:
        reader = csv.reader(lines, delimiter=way.separator, quoting=csv.QUOTE_NONE)
    for cells in reader:
        lines.row_ends()
        stripped = tuple(cell.strip() if way.quoted else cell.strip(' "') for cell in cells)
        if any(stripped):
            yield Row(reader.line_num, stripped)


class _Lines:
    """The lines of a text for a reader that takes as many as make a row: no more than a row may have."""

    def __init__(self, text: str) -> None:
        self._stream = io.StringIO(text.replace("\0", ""), newline="")
        self._taken = 0

    def __iter__(self) -> Iterator[str]:
        for line in self._stream:
            self._taken += len(line)
            if self._taken > LONGEST_ROW:
                raise csv.Error(f"row of more than {LONGEST_ROW:,} characters")
            yield line

    def row_ends(self) -> None:
        """What comes belongs to the next."""
        self._taken = 0


def _runs_away(text: str, way: _Way) -> bool:
    """Whether a quote swallows rows, or stands where none can."""
    if '"' not in text:
        return False
    try:
        return any(_line_ends(cell) > BREAKS_IN_A_CELL for row in _rows(text, way) for cell in row.cells)
    except csv.Error:
        return True


def _line_ends(cell: str) -> int:
    return cell.count("\n") + cell.count("\r")


def _bounded(rows: Iterator[Row], name: str) -> Iterator[Row]:
    try:
        for count, row in enumerate(rows):
            if count >= MOST_ROWS:
                raise InputError(f"{name} has more than {MOST_ROWS:,} rows: split it into several lists")
            yield row._replace(cells=row.cells[:MOST_CELLS])
    except csv.Error as error:
        raise InputError(f"{name} has a row that is too long ({error}): is it a list at all?") from error
