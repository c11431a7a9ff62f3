"""Deleted sessions: moved into `deleted/` beside the recordings, each deletion into a folder of its own.

Nothing is removed by itself, neither at a start nor after some days: a recording cannot be made again, and how much
room it takes is the user's to weigh (the logbook says how much). So undo works after a restart, in any order of
crashes: a session of several files that was moved by half is brought back by half, and the rest was never away.
"""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from core.errors import InputError
from core.file_lock import locked
from core.folders import make_folder, move_file, sync_folder
from core.session_files import BIN, Session

_OURS = re.compile(r"\d{4}-\d\d-\d\d_\d{6}-\d{1,6}", re.ASCII)


class Deleted(NamedTuple):
    """One deletion."""

    folder: Path
    names: tuple[str, ...]
    """Of its files."""
    size: int
    """Bytes."""


class SessionBin:
    """Of one folder of recordings."""

    def __init__(self, folder: Path) -> None:
        self._home = folder
        self._bin = folder / BIN

    def all(self) -> tuple[Deleted, ...]:
        """Every deletion that can be undone, the oldest first; none where the folder cannot be read."""
        try:
            folders = sorted((one for one in self._bin.iterdir() if one.is_dir()), key=_order)
        except OSError:
            return ()
        found = [_deleted(folder) for folder in folders]
        return tuple(one for one in found if one.names)

    def delete(self, session: Session, now: datetime) -> Deleted:
        """Move a session's files away. Raises InputError; those that were moved by then can be brought back."""
        if session.growing:
            raise InputError(
                "this session is being recorded, or was just now: end the recording and wait half a minute"
            )
        files = [path for file in session.files for path in (file.path, file.twin) if path is not None]
        with locked(self._bin):
            folder = self._new_folder(now)
            try:
                for path in files:
                    _move(path, folder / path.name)
            finally:
                with suppress(OSError):
                    folder.rmdir()  # only where nothing could be moved into it
        return _deleted(folder)

    def restore(self, deleted: Deleted) -> None:
        """Bring a session back. Raises InputError where a file of that name is there by now: none is written over."""
        with locked(self._bin):
            for name in deleted.names:
                _move(deleted.folder / name, self._home / name)
            with suppress(OSError):
                deleted.folder.rmdir()

    def empty(self) -> int:
        """Remove all that was deleted, for good; how many bytes that was. Raises InputError."""
        freed = 0
        with locked(self._bin):
            for deleted in self.all():
                for name in deleted.names:
                    freed += _removed(deleted.folder / name)
            with suppress(OSError):  # those too that a crash left empty
                for folder in self._bin.iterdir():
                    with suppress(OSError):
                        folder.rmdir()
        return freed

    def _new_folder(self, now: datetime) -> Path:
        """Named so that the last deletion comes last, though the clock be set back: undo takes the last."""
        ours = [_order(one.folder) for one in self.all() if _OURS.fullmatch(one.folder.name)]
        last, number_of_last, _ = max(ours, default=("", 0, ""))
        second = max(f"{now:%Y-%m-%d_%H%M%S}", last)
        first = number_of_last + 1 if second == last else 1
        try:
            for number in range(first, first + 1000):
                folder = self._bin / f"{second}-{number}"
                with suppress(FileExistsError):
                    make_folder(self._bin)
                    folder.mkdir(mode=0o700)
                    sync_folder(self._bin)
                    return folder
        except OSError as error:
            raise InputError(f"{self._bin} cannot be made ({error.strerror or error}): nothing was deleted") from error
        raise InputError(f"{self._bin} holds a thousand deletions of this second already")


def _order(folder: Path) -> tuple[str, int, str]:
    """By the second, then by the number within it, which is no text: 10 follows 9."""
    second, _, number = folder.name.rpartition("-")
    return second, int(number) if number.isdecimal() else 0, folder.name


def _deleted(folder: Path) -> Deleted:
    files = sorted(path for path in folder.iterdir() if not path.is_dir()) if folder.is_dir() else []
    return Deleted(folder, tuple(path.name for path in files), sum(path.lstat().st_size for path in files))


def _move(source: Path, target: Path) -> None:
    """Never over anything, and on the disk under the new name before it goes under the old one."""
    try:
        move_file(source, target)
    except FileExistsError as error:
        raise InputError(f"{target} is there by now: move it away first") from error
    except FileNotFoundError as error:
        raise InputError(f"{source} has gone: another program has moved or deleted it") from error
    except OSError as error:
        raise InputError(f"{source} could not be moved ({error.strerror or error}): it is where it was") from error


def _removed(path: Path) -> int:
    try:
        size = path.lstat().st_size
        path.unlink()
    except OSError as error:
        raise InputError(f"{path} could not be removed ({error.strerror or error})") from error
    return size
