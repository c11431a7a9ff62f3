"""Writing a file so that a crash at any moment leaves the old content or the new, never half of either."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from core.errors import InputError


def replace_file(path: Path, content: bytes) -> None:
    """Write `content` to `path`: beside it first, then over it in one step. Keeps one generation as `.bak`.

    Raises InputError naming file and cause; the old content then still stands.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        _replace(path, content)
    except OSError as error:
        raise InputError(
            f"{path} could not be saved ({error.strerror or error}): is there room, may it be written?"
        ) from error


def _replace(path: Path, content: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        _keep_backup(path)
        fresh.replace(path)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def _keep_backup(path: Path) -> None:
    """By a hard link where the file system has them, so that `path` is never missing."""
    backup = path.with_name(path.name + ".bak")
    if not path.exists():
        return
    link = path.with_name(f".{path.name}.bak.new")
    try:
        link.unlink(missing_ok=True)
        link.hardlink_to(path)
        link.replace(backup)
    except OSError:
        backup.unlink(missing_ok=True)  # it may be another name of `path` itself: that must not be written into
        shutil.copy(path, backup)


def _sync_folder(folder: Path) -> None:
    """The name of the new file is data of the folder. Windows cannot open folders, and needs no sync for this."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        return
    finally:
        os.close(handle)
