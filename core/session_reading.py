"""A session of several files read as one recording: the clock, and a line that was cut, go on from file to file."""

from __future__ import annotations

import gzip
import io
from bisect import bisect_right
from collections.abc import Sequence
from pathlib import Path
from typing import BinaryIO, cast

from core.errors import InputError
from core.sources.recording import Recording, has_checksums, open_recording


def open_session(paths: Sequence[Path]) -> Recording:
    """The files of a session, at least one, in their order. Raises InputError where the first cannot be opened."""
    first = open_recording(paths[0])
    if len(paths) == 1:
        return first
    first.close()
    try:
        stream = cast("BinaryIO", io.BufferedReader(_Joined(paths), buffer_size=65_536))
        recording = Recording(paths[0], stream, stream, sum(map(_size, paths)))
    except OSError as error:
        raise InputError(f"{paths[0]} and what belongs to it cannot be opened ({error.strerror or error})") from error
    recording.reopen = lambda: open_session(paths)
    return recording


def needs_checksums(paths: Sequence[Path], asked: str | None = None) -> bool:
    """contract.md, Checksums; `asked`: `require`, `allow` or None. Raises InputError where it cannot be read."""
    return has_checksums(paths[0]) if asked is None else asked == "require"


class _Joined(io.RawIOBase):
    """The unpacked bytes of one file after another."""

    def __init__(self, paths: Sequence[Path]) -> None:
        self._paths = paths
        self._begins = [0]
        """Where the files begin that have been come to so far, in bytes of the whole."""
        self._at = 0
        self._raw, self._stream = _open(paths[0])
        self._number = 0

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def tell(self) -> int:
        return self._at

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """From the beginning only: backward at once to the file that holds it, forward by reading."""
        if whence != io.SEEK_SET:
            raise io.UnsupportedOperation("only from the beginning")
        number = bisect_right(self._begins, offset) - 1
        if offset < self._at or number != self._number:
            self._change_to(number)
            self._at = self._begins[number]
        while self._at < offset and self._take(min(offset - self._at, 65_536)):
            pass
        return self._at

    def readinto(self, buffer: object) -> int:
        view = memoryview(cast("bytearray", buffer))
        data = self._take(len(view))
        view[: len(data)] = data
        return len(data)

    def close(self) -> None:
        self._raw.close()
        super().close()

    def _take(self, most: int) -> bytes:
        while not (data := self._stream.read(most)) and self._number + 1 < len(self._paths):
            if len(self._begins) == self._number + 1:
                self._begins.append(self._at)
            self._change_to(self._number + 1)
        self._at += len(data)
        return data

    def _change_to(self, number: int) -> None:
        self._raw.close()
        self._raw, self._stream = _open(self._paths[number])
        self._number = number


def _open(path: Path) -> tuple[BinaryIO, BinaryIO]:
    """The file, and its unpacked bytes."""
    raw = path.open("rb")
    packed = raw.read(2) == b"\x1f\x8b"
    raw.seek(0)
    return raw, cast("BinaryIO", gzip.GzipFile(fileobj=raw, mode="rb")) if packed else raw


def _size(path: Path) -> int:
    """For the progress line alone: of a compressed file its unpacked size (RFC 1952, ISIZE)."""
    size = path.stat().st_size
    if not path.name.endswith(".gz") or size < 4:
        return size
    with path.open("rb") as raw:
        raw.seek(size - 4)
        return int.from_bytes(raw.read(4), "little")
