"""Where the chapters of a file lie on a recording's time axis, as far as that is known yet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from core.chapter_file import Entry
from core.chapters import Chapter, Chapters

Find = Callable[[int, float], float | None]
"""UTC time of day in milliseconds, seconds to look from on: the first such moment; None for none, or none yet."""


class Placed(NamedTuple):
    """A chapter and its moment."""

    entry: Entry
    at_s: float | None
    """None: no moment of the recording has this time of day, or it has not been read so far."""

    @property
    def chapter(self) -> Chapter | None:
        """It, where its moment is known."""
        return None if self.at_s is None else self.entry.at(self.at_s)


def placed(entries: Sequence[Entry], find: Find, *, is_whole: bool) -> tuple[Placed, ...]:
    """All of a file, in its order. A time of day is looked for after the chapter above; a day has each but once.

    `is_whole`: the recording is known to its end; only then, where nothing comes after, the whole of it is looked
    through: the file need not be in order.
    """
    found: list[Placed] = []
    after_s = 0.0
    for entry in entries:
        at_s = _at_s(entry, find, after_s, is_whole=is_whole)
        after_s = after_s if at_s is None else at_s
        found.append(Placed(entry, at_s))
    return tuple(found)


def in_order(found: Sequence[Placed]) -> tuple[Placed, ...]:
    """By time, those without one last; of equals the one that stands first in the file."""
    return tuple(sorted(found, key=lambda one: (one.at_s is None, one.at_s or 0.0)))


def chapters_of(found: Sequence[Placed]) -> Chapters:
    """Those whose moment is known."""
    return Chapters(tuple(one.chapter for one in in_order(found) if one.chapter is not None))


def place_for(found: Sequence[Placed], at_s: float) -> int:
    """Where in the file a new one goes: before the first that comes later."""
    return next((n for n, one in enumerate(found) if one.at_s is not None and one.at_s > at_s), len(found))


def _at_s(entry: Entry, find: Find, after_s: float, *, is_whole: bool) -> float | None:
    if entry.when.time_ms is None:
        return entry.when.at_s
    at_s = find(entry.when.time_ms, after_s)
    return find(entry.when.time_ms, 0.0) if at_s is None and is_whole else at_s
