"""Names of keys, as somebody writes them: `m`, `+`, `F5`, `ctrl+t`, `space`, several separated by commas.

The names that come out are those of the screen's library (`plus`, `f5`, `ctrl+t`), which makes them of a character's
name in Unicode; the comma itself is written `comma`. A test holds both together.
"""

from __future__ import annotations

import re
import string
import unicodedata
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from core.errors import UsageError
from core.shown import shown

MOST = 8
"""Keys of one command."""
_SHORT = {
    "solidus": "slash",
    "reverse_solidus": "backslash",
    "commercial_at": "at",
    "hyphen_minus": "minus",
    "plus_sign": "plus",
    "low_line": "underscore",
}
_NAMED = frozenset(
    {"space", "up", "down", "left", "right", "home", "end", "pageup", "pagedown", "insert", "delete", "backspace"}
    | {f"f{number}" for number in range(1, 25)}
)
_OTHER_WORDS = {
    "pgup": "pageup", "pgdn": "pagedown", "pgdown": "pagedown", "del": "delete", "ins": "insert", "esc": "escape",
    "return": "enter", "dot": "full_stop", "period": "full_stop", "equals": "equals_sign",
}  # fmt: skip
NEEDED = {
    "escape": "it leaves every list and page",
    "enter": "it takes what is chosen",
    "tab": "it goes from field to field",
    "shift+tab": "it goes from field to field",
    "ctrl+c": "it copies, and ends programs",
    "ctrl+q": "it always leaves fixboard",
    "ctrl+p": "it opens the list of all commands",
    "ctrl+z": "it puts programs aside",
    "ctrl+s": "terminals stop with it",
    "ctrl+i": "terminals send it for Tab",
    "ctrl+m": "terminals send it for Enter",
    "ctrl+j": "terminals send it for Enter",
    "ctrl+h": "terminals send it for Backspace",
}
"""What no command may be given, and why: a terminal sends the same byte for the last four (ASCII's control codes)."""
KEPT = frozenset({"escape", "enter", "tab"})
"""Those of a command's own keys that stay with it whatever else it is given."""


def key_list(text: str) -> tuple[str, ...]:
    """The keys of one command. Raises UsageError naming what is no key, or one that may not be given."""
    names = [_key(part.strip()) for part in text.split(",")]
    if len(names) > MOST:
        raise UsageError(f"has {len(names)} keys: {MOST} at most are wanted")
    for name in names:
        if name in NEEDED:
            raise UsageError(f"has {name} in it, which the board needs: {NEEDED[name]}")
    return tuple(dict.fromkeys(names))


def _key(text: str) -> str:
    found = _KEY.fullmatch(text)
    name = _name(found[2]) if found else ""
    if not found or not name:
        raise UsageError(f"has {shown(text)} in it, which is no key: write m, +, comma, F5, ctrl+t or space")
    held = (found[1] or "").lower()
    if held == "shift" and len(name) == 1 and name.isalpha():
        return name.upper()  # as terminals send it
    return f"{held}+{name.lower()}" if held else name


def _name(text: str) -> str:
    """Empty for what is no key."""
    if len(text) == 1:
        return text if text.isalnum() else _of_character(text)
    name = _OTHER_WORDS.get(text.lower(), text.lower())
    return name if name in _NAMED or name in KEPT or name in _PUNCTUATION else ""


def _of_character(character: str) -> str:
    """Of one that is no letter or digit; empty where it cannot be seen."""
    seen = character.isprintable() and not character.isspace()
    name = re.sub("[- ]", "_", unicodedata.name(character, "").lower()) if seen else ""
    return _SHORT.get(name, name)


_KEY = re.compile(r"(?:(ctrl|shift|alt)\+)?(.+)", re.IGNORECASE)
_PUNCTUATION = frozenset(_of_character(one) for one in string.punctuation)


class Bound(NamedTuple):
    """A command as the settings need to know it."""

    id: str
    keys: tuple[str, ...]
    is_list: bool = False
    """Whether letters filter a list there, and cannot be commands."""


def keymap(commands: Iterable[Bound], wanted: Mapping[str, str]) -> dict[str, str]:
    """Keys by command, of those that have others than their own: what they are given, and what stays with them."""
    own = {one.id: one.keys for one in commands}
    return {
        name: ",".join(dict.fromkeys((*key_list(text), *(key for key in own[name] if key in KEPT))))
        for name, text in wanted.items()
        if name in own
    }


def clash(screen: Iterable[Bound], wanted: Mapping[str, str]) -> tuple[str, str, str] | None:
    """Two commands of one screen with one key, the one that was given it first; None where all is well."""
    commands = tuple(screen)
    given = keymap(commands, wanted)
    taken: dict[str, str] = {}
    for one in sorted(commands, key=lambda command: command.id not in given):
        for key in given[one.id].split(",") if one.id in given else one.keys:
            if key in taken and one.id not in given and taken[key] not in given:
                continue  # both as they are by themselves: not for the user to mend
            if key in taken:
                return taken[key], one.id, key
            taken[key] = one.id
    return None


def typed(keys: str) -> str | None:
    """The first of them that a list would take for a letter of its filter."""
    return next((one for one in key_list(keys) if len(one) == 1 or one in _PUNCTUATION or one == "space"), None)
