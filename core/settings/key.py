"""What there is to say of one key of the settings: its kind, its range, what it means, what stands without it."""

from __future__ import annotations

from typing import NamedTuple

ANY_COMMAND = "*"
"""The name of the row of `[keys]`: any command of the board, by its id."""

Value = bool | int | float | str | list[str]
"""As TOML has them."""


class Key(NamedTuple):
    """A row of the table that reading, nearest names, README's block and the settings screen are made from."""

    table: str
    name: str
    kind: str
    """`switch`, `number`, `choice`, `choices`, `rule`, `place`, `addresses`, `words`, `folder` or `keys`: see
    `core.settings.values`."""
    default: Value | None
    """What counts without it; None: unknown, or as the words say."""
    words: str
    """One line: what it does."""
    example: str
    """A value as it stands in the file, in TOML."""
    choices: tuple[str, ...] = ()
    """Of a choice: the values there are."""
    least: float | None = None
    most: float | None = None
    """Of a number."""
    unit: str = ""
    """Of a number: `m`, `min`, `Hz`; empty for a plain one."""

    @property
    def id(self) -> str:
        """Table and name, with a dot."""
        return f"{self.table}.{self.name}"
