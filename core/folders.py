"""Folders and names in them, on the disk when a function returns.

A name is data of its folder, and a new folder's name is data of the one above: what is not synced there goes with the
power, and the file with it, however well its content was kept.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

_NOT_FOR_FOLDERS = frozenset(
    getattr(errno, name) for name in ("EINVAL", "EBADF", "ENOTSUP", "EOPNOTSUPP", "ENOSYS", "EACCES", "EPERM", "EROFS")
)
"""How systems say that folders cannot be synced there. Anything else, EIO say, is a disk that has lost the name."""

TRIES, PAUSE_S = 25, 0.02
"""Half a second: those that look into every new file are done with a small one in a tenth of it (from memory)."""


def make_folder(folder: Path) -> None:
    """Make it and those above that are missing, for this user alone. Raises OSError."""
    missing = []
    while not folder.is_dir():
        missing.append(folder)
        if folder == folder.parent:
            break
        folder = folder.parent
    for one in reversed(missing):
        with contextlib.suppress(FileExistsError):
            one.mkdir(mode=0o700)
        if not one.is_dir():
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(one))
        sync_folder(one.parent)


def sync_folder(folder: Path) -> None:
    """Names are data of their folder. Some systems cannot open or sync folders, and need it for none of this.

    Raises OSError where the disk fails at it.
    """
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _NOT_FOR_FOLDERS:
            raise
    finally:
        os.close(handle)


def replace_over(fresh: Path, target: Path, platform: str = sys.platform) -> None:
    """Let a file take the place of another, or a name that is free. Raises OSError. `platform`: as sys.platform.

    Windows refuses it while a program reads the other one (an indexer, a virus scanner): a moment later it does not.
    """
    for _ in range(TRIES if platform == "win32" else 0):
        try:
            fresh.replace(target)
            return
        except PermissionError:
            time.sleep(PAUSE_S)
    fresh.replace(target)


def move_file(source: Path, target: Path) -> None:
    """Give a file another name, also in another folder, never over anything: under both names first, where links exist.

    Raises FileExistsError where the name is taken, and OSError.
    """
    try:
        os.link(source, target, follow_symlinks=False)
    except FileExistsError:
        if not source.samefile(target):
            raise  # else a crash came between the two steps
    except (OSError, NotImplementedError):  # no hard links here, or not of this kind of file
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from None
        source.rename(target)
        sync_folder(target.parent)
        sync_folder(source.parent)
        return
    sync_folder(target.parent)  # before the old name goes: else a power cut may take both
    source.unlink()
    sync_folder(source.parent)


def move_aside(path: Path, name: str) -> Path:
    """Give a file another name in its folder, or one beside that which is free; where it lies now. Raises OSError.

    In one step, so that it never has two names: it may be begun anew under the old one. Only for who holds the lock on
    it, since another program could take the new name meanwhile.
    """
    for one in _names(path.with_name(name)):
        if not os.path.lexists(one):
            path.rename(one)
            sync_folder(path.parent)
            return one
    raise FileExistsError(errno.EEXIST, "ten thousand files of that name are here", str(path.with_name(name)))


def _names(path: Path) -> Iterator[Path]:
    yield path
    yield from (path.with_name(f"{path.stem}-{number}{path.suffix}") for number in range(2, 10_000))
