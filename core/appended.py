"""Text files that only grow, a line a record: what a crash at any moment may cost of them is the last line."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

from core.errors import InputError
from core.folders import make_folder, move_aside, sync_folder

_HOW = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)
"""Windows would write line ends of its own otherwise, and count other bytes than the file has."""
TORN = ",torn\n"
"""What ends a line that a crash has torn: one field too many, so that no reader ever takes a cut figure for a whole."""


def append_lines(path: Path, header: str, lines: str) -> None:
    """Add whole lines, on the disk when this returns, or none of them; `header` begins a new file.

    What a crash has torn is ended, so that what follows stands on a line of its own. Raises InputError.
    """
    try:
        make_folder(path.parent)
        handle = os.open(path, _HOW, 0o600)
        try:
            size = os.fstat(handle).st_size
            before = _before(handle, size, f"{header}\n".encode())
            _append(handle, size, before + lines.encode())
        finally:
            os.close(handle)
        if size == 0:
            sync_folder(path.parent)
    except OSError as error:
        raise not_saved(path, error) from error


def move_away(path: Path, name: str) -> str:
    """Give a file another name, or one beside that which is not taken; the name that it has now, empty for no file.

    Raises InputError.
    """
    try:
        return move_aside(path, name).name if path.exists() else ""
    except OSError as error:
        raise not_saved(path, error) from error


def not_saved(path: Path, error: OSError) -> InputError:
    """What to say of it."""
    return InputError(f"{path} could not be saved ({error.strerror or error}): is there room, may it be written?")


def _append(handle: int, size: int, data: bytes) -> None:
    """All or nothing: who is told of a failure tries again with the same lines, and they must not be there twice."""
    view = memoryview(data)
    try:
        while view:
            view = view[os.write(handle, view) :]
        os.fsync(handle)
    except BaseException:
        with contextlib.suppress(OSError):
            os.ftruncate(handle, size)
        raise


def _before(handle: int, size: int, header: bytes) -> bytes:
    """What must stand before a new line: the header, or what a crash has left out of it; an end to a torn line."""
    if size < len(header):
        os.lseek(handle, 0, os.SEEK_SET)
        begun = os.read(handle, size)
        if header.startswith(begun):
            return header[size:]
    os.lseek(handle, max(0, size - 1), os.SEEK_SET)
    return b"" if os.read(handle, 1) == b"\n" else TORN.encode()
