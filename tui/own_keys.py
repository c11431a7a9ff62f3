"""The keys that the user has given to commands, in the place of their own: for the toolkit, for help, for what is said.

As units are, they are the process's: one user presses them all.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.settings.keys import Bound
    from tui.commands import Command

_given: dict[str, str] = {}
"""Keys by command, as Textual writes them; commands that have their own are not in it."""

_VERBS = "marks|goes|lists|says|brings|holds|begins|opens|shows|ends|saves|undoes|again"
"""What follows a key where a text names one: `t lists the waypoints`."""


def screens() -> tuple[tuple[Bound, ...], ...]:
    """The commands of the board, of each list and of each sheet, as the settings need to know them."""
    from core.settings.keys import Bound
    from tui import commands

    lists = (
        commands.PLACE_COMMANDS,
        commands.LOG_COMMANDS,
        commands.CHAPTER_COMMANDS,
        commands.STATION_COMMANDS,
        commands.SETTING_COMMANDS,
    )
    board = tuple(Bound(one.id, tuple(one.key.split(","))) for one in commands.COMMANDS)
    return (
        board,
        *(tuple(Bound(one.id, tuple(one.key.split(",")), True) for one in table) for table in lists),
        *(
            tuple(Bound(one.id, tuple(one.key.split(",")), sheet in commands.TYPED_ON) for one in sheet)
            for sheet in commands.SHEETS
        ),
    )


def wear(wanted: Mapping[str, str]) -> dict[str, str]:
    """Name these keys from now on. `wanted`: as the settings have them. What is returned is for the toolkit."""
    _given.clear()
    if wanted:  # start-up time: most have their own
        from core.settings.keys import keymap

        _given.update(keymap([one for screen in screens() for one in screen], wanted))
    return dict(_given)


def keys_of(command: str, usual: str) -> str:
    """The keys of a command; `usual`: its own."""
    return _given.get(command, usual)


def key_of(command: str) -> str:
    """The first key of a command, as it is printed on it: for texts in which other commands may have the same key."""
    from tui.commands import key_names

    return key_names(_commands()[command]).split()[0]


def with_keys(text: str) -> str:
    """A text with the first key of a command wherever its id stands in braces: `{copy_beam} copies`."""
    return re.sub(r"\{(\w+)\}", lambda found: key_of(found[1]), text)


def own_words(text: str) -> str:
    """A text that names keys of the board, with those that were given in their place.

    A key is taken for one where it stands alone before a word that says what it does; texts name none otherwise.
    """
    return _with_given(text, rf"(?=:? (?:{_VERBS})\b)")


def own_hints(text: str) -> str:
    """The same of a text of keys and what they do, `S pause E end`: every word that is a key is one."""
    return _with_given(text, r"(?= )")


@cache
def _commands() -> dict[str, Command]:
    from tui import commands

    tables = (
        commands.COMMANDS,
        commands.PLACE_COMMANDS,
        commands.LOG_COMMANDS,
        commands.CHAPTER_COMMANDS,
        commands.STATION_COMMANDS,
        commands.SETTING_COMMANDS,
        *commands.SHEETS,
    )
    return {one.id: one for table in tables for one in table}


def _with_given(text: str, before: str) -> str:
    if not _given:
        return text
    from tui.commands import COMMANDS, KEY_NAMES, key_names

    now = {}
    for command in COMMANDS:
        first = command.key.split(",", maxsplit=1)[0]
        if command.id in _given and not re.fullmatch(r"f\d+", first):  # lists have these too: see `key_of`
            now[KEY_NAMES.get(first, first)] = key_names(command).split()[0]
    if not now:
        return text
    # In one pass: what was put in is not replaced again, so that two commands may have changed their keys.
    usual = "|".join(map(re.escape, now))
    return re.sub(rf"(?<![\w'+])(?<!\d )(?:{usual}){before}", lambda found: now[found[0]], text)
