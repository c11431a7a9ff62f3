"""Summaries on the disk, beside the recordings in `summaries.json`: a folder of hundreds is listed at once.

A summary holds as long as sizes and times of its files, and the ranging errors that verdicts are worked out with, are
as they were. The file may be deleted at any time: it costs nothing but the time to work everything out again. So what
cannot be read in it is taken for absent, and trouble with writing it is kept to itself.
"""

from __future__ import annotations

import contextlib
import json
from pathlib import Path
from typing import Any

from core.accuracy import ErrorModel
from core.errors import InputError
from core.file_lock import locked
from core.plain_files import read_plain
from core.session_files import CACHE, Session
from core.session_summary import Summary, from_json
from core.storage import replace_file

VERSION = 2
"""Goes up whenever the same file would give another summary."""
LARGEST = 64_000_000
"""Bytes: a hundred thousand sessions."""


class SummaryCache:
    """Of one folder. For one thread at a time."""

    def __init__(self, folder: Path, errors: ErrorModel | None = None) -> None:
        self._path = folder / CACHE
        self._errors = {str(mode): sigma for mode, sigma in (errors or ErrorModel()).ranging_error_m.items()}
        self._entries: dict[str, Any] | None = None
        self._fresh: dict[str, Any] = {}

    def find(self, session: Session) -> Summary | None:
        """What was worked out for these very files; None where that has not been done, or they have changed."""
        if self._entries is None:
            self._entries = self._read()
        entry = self._fresh.get(session.key) or self._entries.get(session.key)
        try:
            return from_json(entry["summary"]) if entry and entry["of"] == self._stamp(session) else None
        except (KeyError, TypeError, ValueError, AttributeError, IndexError, OverflowError):
            return None

    def keep(self, session: Session, summary: Summary) -> None:
        """For the next `save`. Not of one that still grows."""
        if not session.growing:
            self._fresh[session.key] = {"of": self._stamp(session), "summary": summary.as_json()}

    def save(self) -> None:
        """Write what is new beside what others have written meanwhile, without sessions that have gone."""
        if not self._fresh:
            return
        with contextlib.suppress(InputError), locked(self._path):
            entries = {**self._read(), **self._fresh}
            entries = {key: entry for key, entry in entries.items() if self._is_there(key)}
            content = {"version": VERSION, "errors": self._errors, "sessions": entries}
            replace_file(self._path, json.dumps(content, separators=(",", ":")).encode("ascii"))
            self._entries, self._fresh = entries, {}

    def _read(self) -> dict[str, Any]:
        try:
            found = json.loads(read_plain(self._path, LARGEST))
            fits = found["version"] == VERSION and found["errors"] == self._errors
            entries = found["sessions"] if fits else {}
            return entries if isinstance(entries, dict) else {}
        except (OSError, ValueError, RecursionError, KeyError, TypeError):
            return {}

    def _is_there(self, key: str) -> bool:
        try:
            return any((self._path.parent / name).exists() for name in (key, f"{key}.gz"))
        except OSError:  # no name that a file can have
            return False

    @staticmethod
    def _stamp(session: Session) -> list[list[Any]]:
        """As JSON has it, so that it compares with what was read."""
        return [[file.key, file.size, file.mtime_ns] for file in session.files]
