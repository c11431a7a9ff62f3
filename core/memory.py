"""What the board remembers between two runs: a small TOML file, written whenever something in it changes.

It is a convenience: a damaged file counts as none, since nothing in it is the user's work.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

from core.errors import InputError
from core.passing import is_passing
from core.plain_files import read_plain
from core.toml_text import parsed

LARGEST = 1_000_000
"""Bytes: a way of some thousand legs. A file that was cut there is no TOML, and counts as none."""


@dataclass(frozen=True, slots=True)
class Memory:
    """The choices of the last run; empty where none was made."""

    route: str = ""
    """The legs of the way, the target first (`core.route_memory`)."""
    trail: str = ""
    """Which trail of a live trip is gone back along (`core.route_memory`); then there is no route."""
    notation: str = ""
    """Member name of Notation."""
    theme: str = ""
    """Palette name."""
    notation_set: str = ""
    """What the settings said of the notation when it was chosen: the choice counts until they say something else."""
    theme_set: str = ""
    """The same of the theme."""
    source: str = ""
    """The last source, as one would type it."""
    alert: str = ""
    """`on` or `off`: whether to ring when the fix is lost or comes back."""
    alert_set: str = ""
    """What the settings said of the bell then."""
    recording: str = ""
    """What was being recorded; still there at the next start only if that run ended in a crash."""
    notice: str = ""
    """The edition of the cautions that was read and closed."""


NOTHING = Memory()
_NAMES = frozenset(field.name for field in fields(Memory))


def recall(path: Path) -> Memory:
    """The memory kept at `path`; an empty one where there is none, or none that can be read."""
    try:
        return _recalled(path)
    except (OSError, ValueError):
        return NOTHING


def _recalled(path: Path) -> Memory:
    kept = _read(path)
    return Memory(**{key: value for key, value in kept.items() if key in _NAMES and isinstance(value, str)})


def damage(path: Path) -> str:
    """Why nothing can be read of the file; empty where something can be, or there is no file.

    Raises OSError where that is a trouble of the moment, which says nothing of the file.
    """
    try:
        if not _NAMES & _read(path).keys():
            return "it holds nothing that a board remembers"
    except FileNotFoundError:
        return ""
    except OSError as error:
        if is_passing(error):
            raise
        return error.strerror or str(error)
    except ValueError as error:
        return str(error)
    return ""


def _read(path: Path) -> dict[str, Any]:
    text = read_plain(path, LARGEST).decode("utf-8")
    kept = _plainly(text)
    if kept is not None:
        return kept
    return parsed(text)


def remember(path: Path, memory: Memory) -> None:
    """Write the memory. Raises InputError where it cannot be saved."""
    from core.storage import replace_file

    lines = [f"{field.name} = {_toml(getattr(memory, field.name))}\n" for field in fields(Memory)]
    replace_file(path, "".join(lines).encode("utf-8", "replace"))


def remember_choices(path: Path, known: Memory, choices: Mapping[str, str]) -> None:
    """Write some choices, all else as another board may have written it meanwhile. Raises InputError.

    `known`: what this board remembers; it counts where the file has gone or cannot be read.
    """
    from core.file_lock import locked

    with locked(path):
        try:
            kept = _recalled(path)
        except OSError as error:
            if is_passing(error):
                raise InputError(f"{path} cannot be read now ({error.strerror or error}): nothing was saved") from error
            kept = NOTHING
        except (ValueError, RecursionError):
            kept = NOTHING
        remember(path, replace(known if kept == NOTHING else kept, **choices))


def _plainly(text: str) -> dict[str, Any] | None:
    """The file as it is written here while nothing in it needs an escape; None for any other.

    A start-up's time: to import a reader of TOML takes as long as to draw the first frame.
    """
    kept: dict[str, Any] = {}
    for line in text.removesuffix("\n").split("\n"):
        name, _, value = line.partition(' = "')
        is_known = name in _NAMES and name not in kept
        is_plain = value.endswith('"') and value.count('"') == 1 and "\\" not in value and line.isprintable()
        if not (is_known and is_plain):
            return None
        kept[name] = value[:-1]
    return kept


def _toml(text: str) -> str:
    """A TOML basic string: JSON's escapes are TOML's too, but for DEL and surrogate pairs (TOML 1.0, strings)."""
    import json

    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
