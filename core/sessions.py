"""The logbook: every session of the recordings folder, what it holds, the user's words on it; delete and undo."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from core.accuracy import ErrorModel
from core.errors import InputError
from core.session_bin import Deleted, SessionBin
from core.session_cache import SummaryCache
from core.session_clock import iso
from core.session_files import Session, sessions_in
from core.session_notes import NO_WORDS, SessionNotes, Words
from core.session_summary import Summary, summarise, unusable

SAVE_EVERY = 20
"""Summaries: what a crash may cost."""


LARGE = 5_000_000
"""Bytes from which a session takes seconds to read: a list should not wait for it."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the logbook."""

    number: int
    """From 1, the oldest: numbers stay as they are while new sessions come."""
    session: Session
    words: Words = NO_WORDS
    summary: Summary | None = None
    """None until it has been worked out."""

    @property
    def name(self) -> str:
        """The user's name for it, else that of its first file."""
        return self.words.name or self.session.key

    @property
    def short_name(self) -> str:
        """For a list that has the date already: the user's name, else what was recorded, else the file's name."""
        return self.words.name or self.session.files[0].label or self.session.key

    def as_json(self) -> dict[str, Any]:
        """The keys of `fixboard log --json`; unknown is None."""
        found = self.summary or Summary()
        times = [None if ms is None else iso(ms, found.dates) for ms in (found.begins_ms, found.ends_ms)]
        return {
            "number": self.number,
            "name": self.words.name or None,
            "file": str(self.session.paths[0]),
            "files": [str(path) for path in self.session.paths],
            "begins": times[0],
            "ends": times[1],
            "dates": found.dates.value,
            "duration_s": found.duration_s,
            "distance_m": found.distance_m,
            "locator": found.locator,
            "last_locator": found.last_locator,
            "epochs": None if self.summary is None else found.epochs,
            "epochs_with_fix": None if self.summary is None else found.epochs_with_fix,
            "bytes": self.session.size,
            "growing": self.session.growing,
            "note": self.words.note or None,
            "problem": found.problem or None,
        }


class DiskUse(NamedTuple):
    """Bytes."""

    sessions: int
    deleted: int
    free: int | None
    """Left on the disk; None where that cannot be told."""


class Logbook:
    """Of one folder. For one thread at a time, but for `work_out`, which another one may run."""

    def __init__(self, folder: Path, errors: ErrorModel | None = None) -> None:
        self.folder = folder
        self._errors = errors
        self._notes = SessionNotes(folder)
        self._bin = SessionBin(folder)

    def entries(self, now: datetime, recording: Path | None = None) -> tuple[Entry, ...]:
        """All sessions, the oldest first, with the summaries that were worked out before. Raises InputError.

        `recording`: the file that this program writes to at the moment.
        """
        try:
            sessions = sessions_in(self.folder, now, recording)
        except OSError as error:
            raise InputError(
                f"{self.folder} cannot be read ({error.strerror or error}): look at its permissions"
            ) from error
        words, cache = self._notes.all(), SummaryCache(self.folder, self._errors)
        return tuple(
            Entry(number, one, words.get(one.key, NO_WORDS), unusable(one) or cache.find(one))
            for number, one in enumerate(sessions, 1)
        )

    @property
    def trouble(self) -> str:
        """What happened to a damaged file of names and notes; empty where none was met."""
        return self._notes.trouble

    def work_out(
        self, entries: Sequence[Entry], found: Callable[[Entry], bool], progress: Callable[[float], None] | None = None
    ) -> None:
        """The summaries that are missing, large ones last, the newest first; kept on the disk for the next time.

        `found` takes each, and says whether to go on; `progress` as in `summarise`.
        """
        cache = SummaryCache(self.folder, self._errors)
        missing = [entry for entry in reversed(entries) if entry.summary is None]
        missing.sort(key=lambda entry: entry.session.size > LARGE)
        try:
            for number, entry in enumerate(missing, 1):
                done = self.summarised(entry, progress)
                if done.summary is not None:
                    cache.keep(entry.session, done.summary)
                if not found(done):
                    return
                if number % SAVE_EVERY == 0:
                    cache.save()
        finally:
            cache.save()

    def summarised(self, entry: Entry, progress: Callable[[float], None] | None = None) -> Entry:
        """With its summary. What goes wrong stands in it."""
        try:
            return replace(entry, summary=summarise(entry.session, self._errors, progress or (lambda _: None)))
        except OSError as error:  # it went away, or its disk did, between two looks
            return replace(entry, summary=Summary(problem=f"cannot be read ({error.strerror or error})"))

    def write(self, entry: Entry, words: Words, now: datetime) -> Entry:
        """Save name and note. Raises InputError."""
        self._notes.write(entry.session.key, words, now)
        return replace(entry, words=words)

    def delete(self, entry: Entry, now: datetime) -> Deleted:
        """Move it away; `undo` brings it back. Raises InputError."""
        return self._bin.delete(entry.session, now)

    def undo(self) -> Deleted | None:
        """Bring back what was deleted last, in this run or before; None where nothing is. Raises InputError."""
        deleted = self._bin.all()
        if not deleted:
            return None
        self._bin.restore(deleted[-1])
        return deleted[-1]

    def deleted(self) -> tuple[Deleted, ...]:
        """What can be brought back, the last deleted at the end."""
        return self._bin.all()

    def empty_bin(self) -> int:
        """Remove for good what was deleted; the bytes it took. Raises InputError."""
        return self._bin.empty()

    def disk_use(self, entries: Sequence[Entry]) -> DiskUse:
        """How much room all this takes."""
        try:
            free: int | None = shutil.disk_usage(self.folder).free
        except OSError:
            free = None
        return DiskUse(sum(entry.session.size for entry in entries), sum(one.size for one in self._bin.all()), free)
