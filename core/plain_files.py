"""Reading files that a user named, or that lie in a folder where anything may lie: ordinary ones, and not without end.

A pipe keeps its reader waiting for ever, a device may never end, and a name may be none. All of it is an OSError here,
with words for the user, so that who reads has one kind of trouble to tell.
"""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import BinaryIO

_NOT_WAITING = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


def open_plain(path: Path) -> BinaryIO:
    """The file, open for reading its bytes. Raises OSError where there is none, or it is not an ordinary file."""
    try:
        _check(path.stat().st_mode, path)
        handle = os.open(path, os.O_RDONLY | _NOT_WAITING)
    except ValueError as error:  # a NUL, or half a character
        raise OSError(errno.EINVAL, "no file can have this name", str(path)) from error
    try:
        _check(os.fstat(handle).st_mode, path)  # it may be another by now
        return os.fdopen(handle, "rb")
    except BaseException:
        os.close(handle)
        raise


def read_plain(path: Path, most: int) -> bytes:
    """What is in it: `most` bytes, and one more where there are more. Raises OSError as `open_plain`."""
    with open_plain(path) as stream:
        return stream.read(most + 1)


def _check(mode: int, path: Path) -> None:
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, "it is a folder", str(path))
    if not stat.S_ISREG(mode):
        raise OSError(errno.EINVAL, "it is a pipe or a device, not a file", str(path))
