"""Finding sessions by words of theirs, in one of several orders."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

from core.session_clock import Dates, moment
from core.sessions import Entry


class Sort(Enum):
    """What the list is ordered by."""

    NEWEST = "newest"
    NAME = "name"
    WAY = "way"
    SIZE = "size"


def listed(entries: Sequence[Entry], words: str, sort: Sort) -> list[Entry]:
    """Those that hold every word, in capitals or not: in name, note, file names, locators, date, or what is wrong."""
    wanted = words.casefold().split()
    found = [entry for entry in entries if all(word in _text(entry) for word in wanted)]
    newest_first = sorted(found, key=lambda entry: -entry.number)
    return sorted(newest_first, key=_KEYS[sort])


def _way(entry: Entry) -> float:
    """Unknown ones last."""
    way = entry.summary.distance_m if entry.summary else None
    return 1.0 if way is None else -way


_KEYS = {
    Sort.NEWEST: lambda entry: 0,
    Sort.NAME: lambda entry: entry.short_name.casefold(),
    Sort.WAY: _way,
    Sort.SIZE: lambda entry: -entry.session.size,
}


def _text(entry: Entry) -> str:
    files = [path.name for path in entry.session.paths]
    found = entry.summary
    known = [] if found is None else [found.locator or "", found.last_locator or "", found.problem, _date(entry)]
    return "\n".join([entry.words.name, entry.words.note, *files, *known]).casefold()


def _date(entry: Entry) -> str:
    found = entry.summary
    if found is None or found.begins_ms is None or found.dates is Dates.NONE:
        return ""
    return f"{moment(found.begins_ms):%Y-%m-%d %H:%M}"
