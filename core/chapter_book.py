"""The chapter file of one recording: read, and edited with nothing lost.

Every edit reads the file anew under a lock, makes the new text, reads that as a check, and only then puts it in the
place of the old one, in one step, with the generation before it as `.bak`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from pathlib import Path
from typing import NamedTuple

from core.chapter_blocks import cut, with_changed, with_new, without, written_out
from core.chapter_file import MOST, Entry, chapters_path, parse_entries, read_text
from core.errors import InputError
from core.file_lock import locked
from core.storage import replace_file, sweep


class Removed(NamedTuple):
    """What brings a deleted chapter back."""

    entry: Entry
    text: str
    """With its comments."""


class ChapterBook:
    """Of one recording. `pages`: names of the board's pages. All raises InputError saying what to do."""

    def __init__(self, recording: Path, pages: Collection[str]) -> None:
        self.path = chapters_path(recording)
        self._pages = pages

    def entries(self) -> tuple[Entry, ...]:
        """In the order of the file; none where there is no file."""
        return parse_entries(read_text(self.path), self.path.name, self._pages)

    def add(self, entry: Entry, index: int) -> tuple[Entry, ...]:
        """A new one before the one of this index; all as they are then."""
        return self._insert(entry, written_out(entry), index)

    def restore(self, removed: Removed, index: int) -> tuple[Entry, ...]:
        """One that was deleted, with its comments."""
        return self._insert(removed.entry, removed.text, index)

    def change(self, old: Entry, new: Entry) -> tuple[Entry, ...]:
        """Other values for one."""

        def change(text: str, entries: list[Entry]) -> str:
            index = self._index(entries, old)
            entries[index] = new
            return with_changed(text, index, new)

        return self._edit(change)

    def remove(self, entry: Entry) -> tuple[tuple[Entry, ...], Removed]:
        """Without one; and what brings it back."""
        gone: list[str] = []

        def change(text: str, entries: list[Entry]) -> str:
            index = self._index(entries, entry)
            del entries[index]
            block = cut(text).blocks[index]
            gone.append(block.lead + block.core)
            return without(text, index)

        return self._edit(change), Removed(entry, gone[0])

    def _insert(self, entry: Entry, written: str, index: int) -> tuple[Entry, ...]:
        def change(text: str, entries: list[Entry]) -> str:
            if len(entries) >= MOST:
                raise InputError(f"{self.path.name} has {MOST} chapters already: delete some first")
            place = min(index, len(entries))
            entries.insert(place, entry)
            return with_new(text, place, written)

        return self._edit(change)

    def _index(self, entries: Sequence[Entry], wanted: Entry) -> int:
        if wanted not in entries:
            raise InputError(
                f"{self.path.name} was changed elsewhere, and this chapter is not in it any more: look again"
            )
        return entries.index(wanted)

    def _edit(self, change: Callable[[str, list[Entry]], str]) -> tuple[Entry, ...]:
        with locked(self.path):
            sweep(self.path)
            text = read_text(self.path)
            entries = list(parse_entries(text, self.path.name, self._pages))
            if len(cut(text).blocks) != len(entries):
                raise self._too_odd()
            fresh = change(text, entries)
            self._check(fresh, entries)
            replace_file(self.path, fresh.encode("utf-8"))
        return tuple(entries)

    def _check(self, text: str, wanted: Sequence[Entry]) -> None:
        """Never leave behind what cannot be read, or says something else than was meant."""
        if parse_entries(text, self.path.name, self._pages) != tuple(wanted):
            raise self._too_odd()

    def _too_odd(self) -> InputError:
        return InputError(f"{self.path.name} is written in a way that the board cannot edit safely: change it by hand")
