"""A session of several files read as one recording: the clock, and a line that was cut, go on from file to file."""

from __future__ import annotations

import gzip
import io
from collections.abc import Generator, Sequence
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
        return Recording(paths[0], stream, stream, sum(map(_size, paths)))
    except OSError as error:
        raise InputError(f"{paths[0]} and what belongs to it cannot be opened ({error.strerror or error})") from error


def needs_checksums(paths: Sequence[Path], asked: str | None = None) -> bool:
    """contract.md, Checksums; `asked`: `require`, `allow` or None. Raises InputError where it cannot be read."""
    return has_checksums(paths[0]) if asked is None else asked == "require"


class _Joined(io.RawIOBase):
    """The unpacked bytes of one file after another."""

    def __init__(self, paths: Sequence[Path]) -> None:
        self._streams = _opened(paths)
        self._stream: BinaryIO | None = next(self._streams)

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: object) -> int:
        view = memoryview(cast("bytearray", buffer))
        while self._stream is not None:
            data = self._stream.read(len(view))
            if data:
                view[: len(data)] = data
                return len(data)
            self._stream = next(self._streams, None)
        return 0

    def close(self) -> None:
        self._streams.close()
        super().close()


def _opened(paths: Sequence[Path]) -> Generator[BinaryIO, None, None]:
    for path in paths:
        with path.open("rb") as raw:
            packed = raw.read(2) == b"\x1f\x8b"
            raw.seek(0)
            yield cast("BinaryIO", gzip.GzipFile(fileobj=raw, mode="rb")) if packed else raw


def _size(path: Path) -> int:
    """For the progress line alone: of a compressed file its unpacked size (RFC 1952, ISIZE)."""
    size = path.stat().st_size
    if not path.name.endswith(".gz") or size < 4:
        return size
    with path.open("rb") as raw:
        raw.seek(size - 4)
        return int.from_bytes(raw.read(4), "little")
