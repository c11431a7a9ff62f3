"""One writer at a time, among programs that ask: an advisory lock on a hidden file beside the one that is written.

Beside it, since the file itself is replaced by each save, and a lock stays with what was replaced. The hidden file is
empty and is left there: to remove it while another program waits for it would give two programs a lock each.
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from core.errors import InputError
from core.folders import make_folder

if sys.platform == "win32":
    import msvcrt

    def _try(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _try(handle: int) -> None:
        # flock, not lockf: it holds between two objects of one process too, and no other close() drops it.
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


_HOW = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)
TRIES, PAUSE_S = 250, 0.02
"""Five seconds in all: a save takes a tenth of one, and a user stays with a board that stands still for no longer."""


def lock_file(path: Path) -> Path:
    """The file that stands for the lock on `path`; for a symbolic link, beside what it leads to."""
    real = Path(os.path.realpath(path))
    return real.with_name(f".{real.name}.lock")


@contextlib.contextmanager
def locked(path: Path, *, tries: int = TRIES, pause_s: float = PAUSE_S) -> Iterator[bool]:
    """Hold the lock on `path` meanwhile. Yields False where there can be none.

    That is where the file system has no locks, or the folder may not be written: writing then says so itself.
    Raises InputError where another program still holds it after `tries` tries with `pause_s` between them. The system
    takes the lock from a program that ends, however it ends.
    """
    handle = _open(lock_file(path))
    try:
        yield handle is not None and _take(handle, path, tries, pause_s)
    finally:
        if handle is not None:
            os.close(handle)


def _open(path: Path) -> int | None:
    """For its user alone, since whoever can open it can hold it; a link of that name is never followed."""
    try:
        make_folder(path.parent)
        handle = os.open(path, _HOW, 0o600)
    except OSError:
        return None
    _give_to_the_folder_s_owner(handle, path.parent)
    return handle


def _give_to_the_folder_s_owner(handle: int, folder: Path) -> None:
    """The superuser saving a user's file must not leave a lock that the user cannot take."""
    if sys.platform == "win32" or os.geteuid() != 0:
        return
    owner = folder.stat()
    if owner.st_uid != os.fstat(handle).st_uid:
        with contextlib.suppress(OSError):
            os.fchown(handle, owner.st_uid, owner.st_gid)


def _take(handle: int, path: Path, tries: int, pause_s: float) -> bool:
    for number in range(tries):
        try:
            _try(handle)
            return True
        except (BlockingIOError, PermissionError):  # flock says the one, msvcrt the other
            if number < tries - 1:
                time.sleep(pause_s)
        except OSError:  # no locks here: as safe as it was without them
            return False
    raise InputError(f"{path} is being written by another program that does not end: try again, or close that program")
