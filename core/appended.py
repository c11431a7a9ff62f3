"""Text files that only grow, a line a record: what a crash at any moment may cost of them is the last line."""

from __future__ import annotations

import os
from pathlib import Path

from core.errors import InputError


def append_lines(path: Path, header: str, lines: str) -> None:
    """Add whole lines, on the disk when this returns; `header` begins a new file.

    What a crash has torn is ended, so that what follows stands on a line of its own. Raises InputError.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600)
        with os.fdopen(handle, "r+b") as stream:
            stream.write(f"{_before(stream.fileno(), header)}{lines}".encode())
            stream.flush()
            os.fsync(stream.fileno())
    except OSError as error:
        raise not_saved(path, error) from error


def move_away(path: Path, name: str) -> str:
    """Give a file another name, or one beside that which is not taken; the name that it has now, empty for no file.

    Raises InputError.
    """
    try:
        if not path.exists():
            return ""
        target = _free(path.with_name(name))
        path.rename(target)
    except OSError as error:
        raise not_saved(path, error) from error
    return target.name


def not_saved(path: Path, error: OSError) -> InputError:
    """What to say of it."""
    return InputError(f"{path} could not be saved ({error.strerror or error}): is there room, may it be written?")


def _before(handle: int, header: str) -> str:
    """What must stand before a new line: the header in a new file, a line end after a torn one."""
    size = os.fstat(handle).st_size
    if size == 0:
        return f"{header}\n"
    os.lseek(handle, size - 1, os.SEEK_SET)
    return "" if os.read(handle, 1) == b"\n" else "\n"


def _free(path: Path) -> Path:
    names = (path.with_name(f"{path.stem}-{number}{path.suffix}") for number in range(2, 10_000))
    found = path if not path.exists() else next((name for name in names if not name.exists()), None)
    if found is None:
        raise FileExistsError(17, "ten thousand files of that name are here", str(path))
    return found
