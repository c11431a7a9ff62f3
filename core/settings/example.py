"""The settings as README shows them: every key with an example and its line of words, made from the table."""

from __future__ import annotations

from core.settings.key import ANY_COMMAND, Key
from core.settings.table import KEYS, PANES, TABLES

EXAMPLE_COMMAND = "mark_here"
_COMMENT_AT = 34


def example_block() -> str:
    """A file that is read without a fault."""
    return "\n".join(line for table in TABLES for line in _table(table))


def _table(table: str) -> list[str]:
    return [f"[{table}]", *(_line(key) for key in KEYS if key.table == table)]


def _line(key: Key) -> str:
    name = EXAMPLE_COMMAND if key.name == ANY_COMMAND else key.name
    return f"{f'{name} = {key.example}':<{_COMMENT_AT}}  # {_words(key)}"


def _words(key: Key) -> str:
    """What it does, and what there is to choose from, unless the example has all of it."""
    if key.choices and key.choices != PANES:
        return f"{key.words}: {', '.join(key.choices)}"
    if key.choices:
        return f"{key.words}: also {', '.join(one for one in key.choices if one not in key.example)}"
    if key.least is not None and key.table != "ranging_error_m":
        unit = f" {key.unit}" if key.unit else ""
        return f"{key.words}, {key.least:g} to {key.most:g}{unit}"
    return key.words
