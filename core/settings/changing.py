"""One setting changed by the settings screen: what the file would come to is looked at before it is saved.

A value may be right by itself and wrong beside the others of its table: a circle around no home, a key that another
command has. Such a change is refused; one that leaves what was wrong before as wrong as it was is not, since a file is
mended key by key.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from core.errors import InputError
from core.settings.choices import Settings
from core.settings.key import Value
from core.settings.reading import Screens, settings_of
from core.settings.writing import edited, read_text, write_value
from core.toml_text import parsed


class SettingsFile(NamedTuple):
    """The user's file as it is now."""

    path: Path
    text: str = ""
    found: Mapping[str, Any] = {}
    """Its tables as TOML has them, checked or not."""
    wrong: tuple[str, ...] = ()
    """What is wrong in it, each named with its line."""
    damage: str = ""
    """Why nothing can be changed in it, and what to do; empty where all is well."""

    def value(self, place: tuple[str, str]) -> Any:
        """What stands at table and key; None where nothing does."""
        table = self.found.get(place[0])
        return table.get(place[1]) if isinstance(table, dict) else None


def look(path: Path, screens: Screens = (), before: SettingsFile | None = None) -> SettingsFile:
    """Read it. Never raises: what cannot be read is damage.

    `before`: as it was last; it comes back where nothing has changed.
    """
    try:
        text = read_text(path)
    except InputError as error:
        return SettingsFile(path, damage=str(error))
    if before is not None and (before.text, before.path) == (text, path) and (text or not before.damage):
        return before
    try:
        found = parsed(text)
    except ValueError as error:
        why = f"{path} is no TOML: {error}. Correct it in an editor, or move it away; until then it stays as it is"
        return SettingsFile(path, text, damage=why)
    return SettingsFile(path, text, found, tuple(str(one) for one in settings_of(path, text, screens)[1]))


def change(path: Path, place: tuple[str, str], value: Value | None, screens: Screens = ()) -> Settings:
    """Save a value that is checked by now at table and key, or take the key out; the settings that the file then has.

    Raises InputError where the file cannot be read, edited or saved, or its table would be wrong with it: it is then
    as it was.
    """
    before = look(path, screens)
    if before.damage:
        raise InputError(before.damage)
    _, after = settings_of(path, edited(before.text, place, value, path), screens)
    if len(after) > len(before.wrong):
        known = {_itself(one, path) for one in before.wrong}
        told = [_itself(str(one), path) for one in after]
        raise InputError(next((one for one in told if one not in known), told[-1]))
    write_value(path, place, value)
    return settings_of(path, read_text(path), screens)[0]


def _itself(wrong: str, path: Path) -> str:
    """What is wrong, wherever it stands: a key put in moves those below it, and one that is refused stands nowhere."""
    return re.sub("^, line [0-9]+: ", "", wrong.removeprefix(str(path)))
