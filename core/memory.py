"""What the board remembers between two runs: a small TOML file, written whenever something in it changes.

It is a convenience: a damaged file counts as none, since nothing in it is the user's work.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from pathlib import Path

from core.storage import replace_file


@dataclass(frozen=True, slots=True)
class Memory:
    """The choices of the last run; empty where none was made."""

    route: str = ""
    """The legs of the way, the target first (`core.route_memory`)."""
    notation: str = ""
    """Member name of Notation."""
    theme: str = ""
    """Palette name."""
    source: str = ""
    """The last source, as one would type it."""
    alert: str = ""
    """`on` or `off`: whether to ring when the fix is lost or comes back."""
    recording: str = ""
    """What was being recorded; still there at the next start only if that run ended in a crash."""


def recall(path: Path) -> Memory:
    """The memory kept at `path`; an empty one where there is none, or none that can be read."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, ValueError):
        return Memory()
    import tomllib  # start-up time: the first run has no such file

    try:
        kept = tomllib.loads(text)
    except (ValueError, RecursionError):
        return Memory()
    known = {field.name for field in fields(Memory)}
    return Memory(**{key: value for key, value in kept.items() if key in known and isinstance(value, str)})


def remember(path: Path, memory: Memory) -> None:
    """Write the memory. Raises InputError where it cannot be saved."""
    lines = [f"{field.name} = {_toml(getattr(memory, field.name))}\n" for field in fields(Memory)]
    replace_file(path, "".join(lines).encode("utf-8", "replace"))


def _toml(text: str) -> str:
    """A TOML basic string: JSON's escapes are TOML's too, but for DEL and surrogate pairs (TOML 1.0, strings)."""
    import json

    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
