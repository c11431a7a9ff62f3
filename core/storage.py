"""Writing a file so that a crash at any moment leaves the old content or the new, never half of either."""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Iterator
from pathlib import Path

from core.errors import InputError
from core.folders import make_folder, replace_over, sync_folder
from core.part_files import part_beside


def replace_file(path: Path, content: bytes) -> None:
    """Write `content` to `path`: beside it first, then over it in one step. Keeps one generation as `.bak`.

    A symbolic link stays one: what it leads to is replaced, and the backup lies there. Mode bits stay as they are; a
    new file is for its user alone. Raises InputError naming file and cause; the old content then still stands.
    """
    real = Path(os.path.realpath(path))
    try:
        make_folder(real.parent)
        _replace(real, content)
    except OSError as error:
        raise InputError(
            f"{path} could not be saved ({error.strerror or error}): is there room, may it be written?"
        ) from error


def create_file(path: Path, content: bytes) -> None:
    """Write a file that is not there yet, whole or not at all, for its user alone.

    Raises InputError where there is something of that name, or it cannot be written.
    """
    try:
        with _beside(path, content) as fresh:
            give_name(fresh, path)
        sync_folder(path.parent)
    except FileExistsError as error:
        raise InputError(f"{path} exists already: choose another name, or move it away") from error
    except OSError as error:
        raise InputError(f"{path} could not be written ({error.strerror or error}): choose another place") from error


def sweep(path: Path) -> None:
    """Remove what killed writers of `path` left beside it. Only for who holds the lock on it (`core.file_lock`).

    Where parts can be locked they go with the next save of any file in the folder (`core.part_files`).
    """
    real = Path(os.path.realpath(path))
    with contextlib.suppress(OSError):
        for one in real.parent.iterdir():
            if one.name.startswith(f".{real.name}.") and one.name.endswith(_PART):
                one.unlink()


def give_name(fresh: Path, path: Path) -> None:
    """Let a part have its name, which must be free: by a hard link, which never takes the place of anything.

    Where there are none the name is taken first, then replaced: killed between the two, an empty file is left, no half
    of one. Raises FileExistsError and OSError. The folder is not synced.
    """
    try:
        path.hardlink_to(fresh)
    except FileExistsError:
        raise
    except OSError:
        path.open("xb").close()
        fresh.replace(path)


_PART = ".part"


def _replace(path: Path, content: bytes) -> None:
    with _beside(path, content) as fresh:
        _keep_backup(path)
        replace_over(fresh, path)
    sync_folder(path.parent)


@contextlib.contextmanager
def _beside(path: Path, content: bytes, like: Path | None = None) -> Iterator[Path]:
    """A file in the same folder, its content on the disk; gone at the end unless it was given another name."""
    with part_beside(path) as (handle, fresh):
        with os.fdopen(handle, "wb") as stream:
            _look_like(like or path, fresh)
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        yield fresh


def _look_like(path: Path, fresh: Path) -> None:
    """Owner, where we may give files away (the superuser saving a user's file), and mode bits."""
    try:
        old, new = path.stat(), fresh.stat()
    except FileNotFoundError:
        return
    if (old.st_uid, old.st_gid) != (new.st_uid, new.st_gid):
        with contextlib.suppress(OSError):
            os.chown(fresh, old.st_uid, old.st_gid)
    fresh.chmod(stat.S_IMODE(old.st_mode) & 0o777)


def _keep_backup(path: Path) -> None:
    """By a hard link where the file system has them, so that `path` is never missing."""
    backup = path.with_name(path.name + ".bak")
    if not path.exists():
        return
    link = path.with_name(f".{path.name}.bak.new")
    try:
        link.unlink(missing_ok=True)
        link.hardlink_to(path)
        replace_over(link, backup)
    except OSError:
        with _beside(backup, path.read_bytes(), like=path) as copy:
            replace_over(copy, backup)  # not written into: it may be another name of `path` itself
