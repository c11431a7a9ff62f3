"""Writing a file so that a crash at any moment leaves the old content or the new, never half of either."""

from __future__ import annotations

import contextlib
import os
import shutil
import stat
import tempfile
from pathlib import Path

from core.errors import InputError


def replace_file(path: Path, content: bytes) -> None:
    """Write `content` to `path`: beside it first, then over it in one step. Keeps one generation as `.bak`.

    A symbolic link stays one: what it leads to is replaced, and the backup lies there. Mode bits stay as they are; a
    new file is for its user alone. Raises InputError naming file and cause; the old content then still stands.
    """
    real = Path(os.path.realpath(path))
    try:
        real.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
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
        fresh = _beside(path, content)
        try:
            _give_name(fresh, path)
        finally:
            fresh.unlink(missing_ok=True)
    except FileExistsError as error:
        raise InputError(f"{path} exists already: choose another name, or move it away") from error
    except OSError as error:
        raise InputError(f"{path} could not be written ({error.strerror or error}): choose another place") from error
    _sync_folder(path.parent)


def sweep(path: Path) -> None:
    """Remove what killed writers of `path` left beside it. Only for who holds the lock on it (`core.file_lock`)."""
    real = Path(os.path.realpath(path))
    with contextlib.suppress(OSError):
        for one in real.parent.iterdir():
            if one.name.startswith(f".{real.name}.") and one.name.endswith(_PART):
                one.unlink()


_PART = ".part"


def _replace(path: Path, content: bytes) -> None:
    fresh = _beside(path, content)
    try:
        _keep_backup(path)
        fresh.replace(path)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def _beside(path: Path, content: bytes) -> Path:
    """A file in the same folder, its content on the disk."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=_PART)
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            _look_like(path, fresh)
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
    return fresh


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


def _give_name(fresh: Path, path: Path) -> None:
    """By a hard link, which never takes the place of anything; copied where the file system has none."""
    try:
        path.hardlink_to(fresh)
    except FileExistsError:
        raise
    except OSError:
        _copy_new(fresh, path)


def _copy_new(fresh: Path, path: Path) -> None:
    with path.open("xb") as stream:
        try:
            stream.write(fresh.read_bytes())
            stream.flush()
            os.fsync(stream.fileno())
        except BaseException:
            path.unlink(missing_ok=True)
            raise


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
