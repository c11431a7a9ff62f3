"""Taking a list over into the user's folder.

It is copied, not remembered by its path: a list comes from a stick, a download or an attachment, and has gone from
there when it is needed in the field. What is in the folder is the user's to edit; edits are noticed.
"""

from __future__ import annotations

import os
from enum import Enum, auto
from pathlib import Path

from core.errors import InputError
from core.folders import make_folder
from core.station_lists.reading import ENDINGS, bytes_of, list_of
from core.storage import create_file, replace_file


class Taken(Enum):
    """What became of it."""

    COPIED = auto()
    THERE_ALREADY = auto()
    """The same, byte for byte."""
    OTHER_THERE = auto()
    """Another list has that name: nothing was done."""
    REPLACED = auto()
    """The one before is beside it, its name ended by .bak."""


def take_list(path: Path, folder: Path, *, replace: bool = False) -> Taken:
    """Copy a list into the folder after reading it. Raises InputError where it is none, or cannot be copied."""
    if path.suffix.lower() not in ENDINGS:
        raise InputError(f"{path.name}: a list is one of {', '.join(ENDINGS)}")
    # A pipe would keep us waiting. Path.exists raises for a name that is too long.
    if os.path.lexists(path) and not path.is_file():
        raise InputError(f"{path} is no file")
    data = bytes_of(path)
    list_of(data, path)
    target = folder / path.name
    if target.exists():
        return _beside(target, data, replace=replace)
    try:
        make_folder(folder)
    except OSError as error:
        raise InputError(f"{folder} cannot be made ({error.strerror or error}): may it be written?") from error
    create_file(target, data)
    return Taken.COPIED


def _beside(target: Path, data: bytes, *, replace: bool) -> Taken:
    if bytes_of(target) == data:
        return Taken.THERE_ALREADY
    if not replace:
        return Taken.OTHER_THERE
    replace_file(target, data)
    return Taken.REPLACED
