"""Tables of a TOML file whose mistakes are named: file, line, key, what would be right, and the nearest right name.

The TOML library does not say where a key stood, so the lines are looked up in the text again. In a table written on
one line, or by dotted keys, the first line that names the key is given.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import islice
from typing import Any

from core.errors import InputError
from core.shown import SHOWN_CHARACTERS, shown
from core.toml_text import parsed

MOST_NAMED = 20
"""Of the words that would be right, in a message."""
_HEADER = re.compile(r"\s*(\[\[?)([^\[\]]+)\]")
_KEY = re.compile(r"""\s*["']?([\w-]+)["']?\s*=""")

Spot = tuple[str, int]
"""A table's name, and which of its kind it is, counted from 1."""
TOP: Spot = ("", 1)


def nearest(word: str, known: Collection[str]) -> str:
    """The rest of a message on a word that is not known."""
    near = get_close_matches(word, known, 1)
    if near:
        return f"did you mean {near[0]}?"
    more = ", ..." if len(known) > MOST_NAMED else ""
    return f"known are {', '.join(islice(known, MOST_NAMED))}{more}"


class Lines:
    """Where tables and keys stand in a text."""

    def __init__(self, text: str) -> None:
        self._lines = text.split("\n")  # not `splitlines`: TOML ends lines at nothing else
        self._found: dict[tuple[Spot, str], int] = {}
        counts: dict[str, int] = {}
        spot = TOP
        for number, line in enumerate(self._lines, 1):
            if header := _HEADER.match(line):
                name = re.sub(r"[\s\"']", "", header[2])
                counts[name] = counts.get(name, 0) + 1
                spot = (name, counts[name])
                self._found.setdefault((spot, ""), number)
            elif key := _KEY.match(line):
                self._found.setdefault((spot, key[1]), number)

    def line_of(self, spot: Spot, key: str) -> int:
        """Of a key; else of its table; else the first line that names it; else 1."""
        exact = self._found.get((spot, key)) or self._found.get((spot, ""))
        wanted = key or spot[0].split(".")[-1]
        return exact or next((number for number, line in enumerate(self._lines, 1) if wanted in line), 1)


@dataclass(frozen=True, slots=True)
class Table:
    """One table of the file. Every reader raises InputError."""

    file: str
    lines: Lines
    spot: Spot
    values: Mapping[str, Any]

    def wrong(self, key: str, what: str) -> InputError:
        """What to raise for a key; an empty one means the table as a whole."""
        said = f"{key if len(key) <= SHOWN_CHARACTERS else shown(key)} {what}" if key else what
        return InputError(f"{self.file}, line {self.lines.line_of(self.spot, key)}: {said}")

    def only(self, known: Collection[str]) -> None:
        """Refuse other keys."""
        for key in self.values:
            if key not in known:
                raise self.wrong(key, f"is not known: {nearest(key, known)}")

    def number(self, key: str, low: float, high: float, usual: float | None = None) -> float:
        """From `low` to `high`, both included; `usual` where it is not given, None = it must be."""
        value = self._given(key, usual, f"a number from {low:g} to {high:g}")
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise self.wrong(key, f"is {shown(value)}: a number from {low:g} to {high:g} is wanted")
        return float(value)

    def whole(self, key: str, low: int, high: int, usual: int | None = None) -> int:
        """As `number`, without a fraction."""
        value = self.number(key, low, high, usual)
        if value != math.floor(value):
            raise self.wrong(key, f"is {value:g}: a whole number is wanted")
        return int(value)

    def switch(self, key: str, usual: bool) -> bool:
        """True or false."""
        value = self.values.get(key, usual)
        if not isinstance(value, bool):
            raise self.wrong(key, f"is {shown(value)}: true or false is wanted")
        return value

    def words(self, key: str, example: str, usual: str | None = None) -> str:
        """A text."""
        value = self._given(key, usual, f"a text, as {example!r}")
        if not isinstance(value, str):
            raise self.wrong(key, f"is {shown(value)}: a text is wanted, as {example!r}")
        return value

    def choice(self, key: str, known: Collection[str], usual: str | None = None) -> str:
        """One of the known words."""
        word = self.words(key, next(iter(known)), usual)
        if word not in known:
            raise self.wrong(key, f"is {shown(word)}: {nearest(word, known)}")
        return word

    def table(self, key: str) -> Table:
        """A table within; empty where it is not given."""
        value = self.values.get(key, {})
        if not isinstance(value, dict):
            raise self.wrong(key, f"must be a table: [{self._name(key)}]")
        return Table(self.file, self.lines, (self._name(key), 1), value)

    def tables(self, key: str) -> list[Table]:
        """An array of tables; empty where it is not given."""
        value = self.values.get(key, [])
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            raise self.wrong(key, f"must be tables: [[{self._name(key)}]] above each")
        return [Table(self.file, self.lines, (self._name(key), at), one) for at, one in enumerate(value, 1)]

    def _name(self, key: str) -> str:
        return f"{self.spot[0]}.{key}" if self.spot[0] else key

    def _given(self, key: str, usual: object, wanted: str) -> object:
        value = self.values.get(key, usual)
        if value is None:
            raise self.wrong("", f"{key} is missing: give {wanted}")
        return value


def top_table(text: str, file: str, known: Iterable[str]) -> Table:
    """The whole file, with no keys but the known. Raises InputError, for what is no TOML too."""
    try:
        values = parsed(text)
    except ValueError as error:
        raise InputError(f"{file} is no TOML: {error}") from error
    table = Table(file, Lines(text), TOP, values)
    table.only(tuple(known))
    return table
