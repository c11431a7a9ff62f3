"""What the recorder does to a disk: append, sync, turn the page, compress. Tests put their faults into FileLayer."""

from __future__ import annotations

import gzip
import os
import re
import shutil
from datetime import datetime
from pathlib import Path
from typing import BinaryIO, Protocol

from core.folders import make_folder, replace_over, sync_folder
from core.part_files import part_beside

SYNC_S = 1.0
"""Nothing that was written is longer than this away from the disk."""
OWN_ONLY = 0o600
"""A trip shows where somebody lives."""
_BINARY = getattr(os, "O_BINARY", 0)
_LINE_END = re.compile(rb"\n|\r(?=[^\n])")
"""A CR that ends the bytes so far may be half of a CR LF: the next byte tells."""


class OpenFile(Protocol):
    """A file that is appended to."""

    def write(self, data: bytes) -> None:
        """Append all of `data`."""

    def sync(self) -> None:
        """Do not return before it is on the disk."""

    def close(self) -> None:
        """Close."""


class FileLayer(Protocol):
    """What a recorder does to a disk. Everything may raise OSError."""

    def create(self, path: Path) -> OpenFile:
        """A new file; FileExistsError where there is one of this name, plain or compressed."""

    def free_bytes(self, folder: Path) -> int:
        """Room left."""

    def compress(self, path: Path) -> Path:
        """Put a compressed copy in the file's place; the path of the copy."""


class _RealFile:
    def __init__(self, path: Path) -> None:
        self._handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_APPEND | _BINARY, OWN_ONLY)

    def write(self, data: bytes) -> None:
        view = memoryview(data)
        while view:
            view = view[os.write(self._handle, view) :]

    def sync(self) -> None:
        os.fsync(self._handle)

    def close(self) -> None:
        os.close(self._handle)


class RealFiles:
    """This computer's file system."""

    def create(self, path: Path) -> OpenFile:
        """For this user alone. Its name is on the disk before the first byte is."""
        make_folder(path.parent)
        file = _RealFile(path)
        if _packed(path).exists():  # asked last: a compression that ends just now takes the plain name away
            file.close()
            path.unlink()
            raise FileExistsError(path)
        sync_folder(path.parent)
        return file

    def free_bytes(self, folder: Path) -> int:
        """Room left where the folder is."""
        return shutil.disk_usage(folder).free

    def compress(self, path: Path) -> Path:
        """The plain file goes only after the compressed one is complete and on the disk."""
        packed = _packed(path)
        with part_beside(packed) as (handle, fresh):
            with os.fdopen(handle, "wb") as target, path.open("rb") as plain:
                _pack(plain, target)
            replace_over(fresh, packed)
        sync_folder(path.parent)
        path.unlink()
        return packed


def _packed(path: Path) -> Path:
    return path.with_name(path.name + ".gz")


def _pack(plain: BinaryIO, target: BinaryIO) -> None:
    with gzip.GzipFile("", "wb", fileobj=target) as packing:
        shutil.copyfileobj(plain, packing)
    target.flush()
    os.fsync(target.fileno())


class CurrentFile:
    """The file being written."""

    def __init__(self, path: Path, file: OpenFile, day: str) -> None:
        """`day`: of its first byte, UTC; the next day begins another file."""
        self.path = path
        self._file = file
        self._day = day
        self._size = 0
        self._unsynced_since_s: float | None = None
        self._last = b"\n"

    def write(self, data: bytes, at_s: float) -> None:
        """Append what arrived at `at_s`."""
        if data:
            self._file.write(data)
            self._size += len(data)
            self._last = data[-1:]
            if self._unsynced_since_s is None:
                self._unsynced_since_s = at_s

    def sync(self) -> bool:
        """Whether there was anything to sync."""
        if self._unsynced_since_s is None:
            return False
        self._unsynced_since_s = None
        self._file.sync()
        return True

    def may_wait_s(self, now_s: float) -> float:
        """How long the next sync may wait."""
        since_s = self._unsynced_since_s
        return SYNC_S if since_s is None else min(SYNC_S, max(0.0, since_s + SYNC_S - now_s))

    def is_due(self, moment: datetime, largest: int) -> bool:
        """Whether the next file should begin."""
        return self._size > largest or f"{moment:%Y-%m-%d}" != self._day

    def cut(self, data: bytes, largest: int) -> int | None:
        """How much of `data` still belongs here: up to the end of the line. None where it does not end in `data`.

        Where no line ever ends, the file ends at twice its size.
        """
        if self._last == b"\n":
            return 0
        if self._last == b"\r" and data:
            return int(data.startswith(b"\n"))
        end = _LINE_END.search(data)
        if end:
            return end.end()
        return 0 if self._size > 2 * largest else None

    def close(self) -> None:
        """Close."""
        self._file.close()
