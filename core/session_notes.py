"""The user's own words on sessions: `logbook.json` beside the recordings, never inside them.

    {"2031-05-04_120000_ttyACM0.nmea": {"name": "Round the isle", "note": "fog until noon"}}

By the name of a session's first file, without `.gz`. Renaming changes the name that is shown, not the file's: that one
tells when the session began and which files belong together, and another program may have it open. Whoever edits this
file by hand may do so; what it holds besides names and notes stays. A file that cannot be read is set aside under
another name before anything is written, and that is said. Words on files that have gone stay: they may come back.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from core.errors import InputError
from core.file_lock import locked
from core.folders import move_aside
from core.passing import is_passing
from core.plain_files import read_plain
from core.session_files import NOTES
from core.storage import replace_file, sweep

NAME_LIMIT, NOTE_LIMIT = 80, 2000
"""Characters that a form takes (our own choice); a file may hold more."""
LARGEST = 32_000_000
"""Bytes of the file: many years of notes."""


@dataclass(frozen=True, slots=True)
class Words:
    """On one session."""

    name: str = ""
    note: str = ""


NO_WORDS = Words()


class SessionNotes:
    """Reads and writes the file."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / NOTES
        self.trouble = ""
        """What happened to a damaged file; empty where none was met."""

    def all(self) -> dict[str, Words]:
        """By session. A damaged file is left where it is, and said in `trouble`."""
        try:
            return {key: _words(entry) for key, entry in self._read().items()}
        except InputError as error:
            self.trouble = str(error)
            return {}

    def write(self, key: str, words: Words, now: datetime) -> None:
        """Save the words on one session, all else as it is. Raises InputError where they cannot be saved."""
        with locked(self._path):
            sweep(self._path)
            entries = self._read_or_set_aside(now)
            old = entries.get(key)
            entries[key] = {**(old if isinstance(old, dict) else {}), "name": words.name, "note": words.note}
            # ASCII: a file's name need not be UTF-8, and its stray bytes have no other way to stand in JSON.
            replace_file(self._path, (json.dumps(entries, indent=1) + "\n").encode("ascii"))

    def _read_or_set_aside(self, now: datetime) -> dict[str, Any]:
        try:
            return self._read()
        except InputError as error:
            if is_passing(error.__cause__):
                raise
            aside = self._set_aside(now)
            self.trouble = f"{error}. It now lies in {aside.name}; a new one was begun"
            return {}

    def _set_aside(self, now: datetime) -> Path:
        try:
            return move_aside(self._path, f"logbook.{now:%Y-%m-%d_%H%M%S}.json")
        except OSError as error:
            raise InputError(
                f"{self._path} is damaged and cannot be moved away ({error.strerror or error}): move it by hand"
            ) from error

    def _read(self) -> dict[str, Any]:
        try:
            text = read_plain(self._path, LARGEST)
        except FileNotFoundError:
            return {}
        except OSError as error:
            raise InputError(f"{self._path} cannot be read ({error.strerror or error})") from error
        if len(text) > LARGEST:
            raise InputError(f"{self._path} is far too long for names and notes")
        try:
            found = json.loads(text)
        except (ValueError, RecursionError) as error:
            raise InputError(f"{self._path} is damaged ({error})") from error
        if not isinstance(found, dict):
            raise InputError(f"{self._path} holds no names and notes")
        return found


def _words(entry: Any) -> Words:
    values = entry if isinstance(entry, dict) else {}
    name, note = (values.get(part, "") for part in ("name", "note"))
    return Words(name if isinstance(name, str) else "", note if isinstance(note, str) else "")
