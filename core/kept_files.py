"""What is kept on the disk between two runs, read back: files that grow by lines, and objects replaced as a whole."""

from __future__ import annotations

import json
from collections import deque
from collections.abc import Iterable
from io import TextIOWrapper
from pathlib import Path
from typing import Any

from core.errors import InputError
from core.plain_files import open_plain, read_plain


def kept_lines(path: Path, name: str, most: int) -> Iterable[str]:
    """The newest `most` lines of a file, or of that of another `name` beside it; none where there is no such file."""
    try:
        beside = path.with_name(Path(name).name) if name else path
        with TextIOWrapper(open_plain(beside), encoding="utf-8", errors="replace") as stream:
            return deque(stream, most)
    except (OSError, ValueError):  # ValueError: `name`, which stands in a file that may have been edited, is none
        return ()


def kept_object(path: Path, largest: int, what: str) -> dict[str, Any] | None:
    """An object in JSON of `largest` bytes at most; None where there is no file.

    Raises InputError where it cannot be read, or holds no object: no `what`.
    """
    try:
        found = json.loads(read_plain(path, largest))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, RecursionError) as error:
        raise InputError(f"{path} cannot be read ({error})") from error
    if not isinstance(found, dict):
        raise InputError(f"{path} holds no {what}")
    return found
