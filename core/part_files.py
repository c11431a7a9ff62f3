"""Files under a passing name until they are whole, and what killed writers leave of them.

A writer holds a lock on its part while it lives (flock, which the system takes from whoever ends). So a part that can
be locked belongs to nobody any more, and whoever writes next in that folder removes it; no clock and no process number
is asked. The ending is our own, so that no other program's files are ever taken for ours.
"""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

PART = ".fixboard.part"
_LONGEST_NAME = 100
"""Bytes of the name that are repeated in the part's: most systems allow 255 in all."""
_TRIES = 100
_NOT_THROUGH_LINKS = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)

if sys.platform == "win32":

    def hold(handle: int) -> bool:
        """No locks of this kind here: only who holds the lock on the file itself may sweep (`core.storage.sweep`)."""
        del handle
        return True

    def _is_nobodys(handle: int) -> bool:
        del handle
        return False

else:
    import fcntl

    def hold(handle: int) -> bool:
        """Mark an open part as a living writer's. False: it was taken for a dead one's meanwhile, and goes."""
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:  # a file system without locks: nobody sweeps there
            return True
        return os.fstat(handle).st_nlink > 0

    def _is_nobodys(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True


@contextlib.contextmanager
def part_beside(path: Path) -> Iterator[tuple[int, Path]]:
    """An empty part in the folder of `path`: an open handle, the caller's to close, and its name.

    Gone at the end unless it was given another name; parts of dead writers in that folder go first. Raises OSError.
    """
    sweep_parts(path.parent)
    handle, fresh = _made(path)
    held = os.dup(handle) if sys.platform != "win32" else None  # shares the lock, and outlives the caller's handle
    try:
        yield handle, fresh
    finally:
        fresh.unlink(missing_ok=True)
        if held is not None:
            os.close(held)


def sweep_parts(folder: Path) -> None:
    """Remove the parts of writers that live no more. What cannot be looked at or removed is left."""
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.endswith(PART):
                with contextlib.suppress(OSError):
                    _remove_nobodys(Path(entry.path))


def _remove_nobodys(part: Path) -> None:
    handle = os.open(part, os.O_RDWR | _NOT_THROUGH_LINKS)
    try:
        if _is_nobodys(handle):
            part.unlink()
    finally:
        os.close(handle)


def _made(path: Path) -> tuple[int, Path]:
    for _ in range(_TRIES):
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{_short(path.name)}.", suffix=PART)
        if hold(handle):
            return handle, Path(name)
        os.close(handle)
    raise BlockingIOError(11, "others remove our new files", str(path))


def _short(name: str) -> str:
    while len(os.fsencode(name)) > _LONGEST_NAME:
        name = name[:-1]
    return name
