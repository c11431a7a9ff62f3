"""Every setting as a row of the settings screen: what the file says of it, what counts without it, how it is put."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from core.errors import UsageError
from core.safe_text import as_typed
from core.settings.changing import SettingsFile
from core.settings.key import ANY_COMMAND, Key, Value
from core.settings.keys import NEEDED
from core.settings.table import KEYS
from core.settings.values import check
from core.units import SYSTEMS, in_use
from tui.commands import Command

NOT_SET = "not set"
_UNSET = {"units.speed": "m/s and km/h"}
"""What counts where neither a key nor its system says anything: of speeds, in the metric system, both."""
AT_ONCE = "at once"
LENGTH_EXAMPLE = "500 ft or 0.5 mi"
_LATER = {
    "track": "at once; in a replay when it is opened the next time",
    "ranging_error_m": "from the next source that is opened",
    "recorder": "from the next recording, or source, on",
    "folders": "from the next recording on; for lists of stations at once",
    "feed": "when the feed begins the next time",
}
"""By table: what is not taken up by what is under way, since half of it would then be made by another rule."""


class Setting(NamedTuple):
    """One of them."""

    key: Key
    name: str
    """In its table: that of the key, or in `[keys]` a command's id."""
    usual: Value | None
    """What counts without it; None: unknown, or as the words say."""
    words: str
    found: Any = None
    """What the file says, right or wrong; None where it says nothing."""

    @property
    def place(self) -> tuple[str, str]:
        """Table and name."""
        return self.key.table, self.name

    @property
    def id(self) -> str:
        """With a dot between them."""
        return f"{self.key.table}.{self.name}"

    @property
    def wrong(self) -> str:
        """What is wrong with what the file says; empty where nothing is."""
        if self.found is None:
            return ""
        try:
            check(self.key, self.found)
        except UsageError as error:
            return f"{self.name} {error}"
        return ""

    @property
    def value(self) -> Value | None:
        """What counts, as far as one key tells."""
        return self.usual if self.found is None else self.found

    @property
    def steps(self) -> tuple[Value | None, ...]:
        """The values that it can be stepped through; none where it is typed. None is: out of the file."""
        known: tuple[Value, ...] = {"switch": (True, False), "choice": self.key.choices}.get(self.key.kind, ())
        return (*known, None) if known and self.usual is None else known

    def step(self, by: int) -> Value | None:
        """The value so many steps on."""
        known = self.steps
        at = known.index(self.value) if self.value in known else -1 if by > 0 else 0
        return known[(at + by) % len(known)]


def settings_in(file: SettingsFile, commands: Iterable[Command]) -> list[Setting]:
    """All of them in the table's order; in `[keys]` every command of the board."""
    found = [one._replace(found=file.value(one.place)) for key in KEYS for one in _of(key, commands)]
    return _with_units_in_force(found)


def _with_units_in_force(found: list[Setting]) -> list[Setting]:
    """A unit that is not set is that of the system; where anything of their table is wrong, all are metric."""
    units = [one for one in found if one.key.table == "units"]
    system = next(str(one.value) for one in units if one.name == "system")
    in_force = SYSTEMS["metric" if any(one.wrong for one in units) else system.lower()]
    return [
        one._replace(usual=getattr(in_force, one.name) or None)
        if one.key.table == "units" and one.usual is None
        else one
        for one in found
    ]


def _of(key: Key, commands: Iterable[Command]) -> Iterator[Setting]:
    if key.name != ANY_COMMAND:
        yield Setting(key, key.name, key.default, key.words)
        return
    for command in commands:
        yield Setting(key, command.id, command.key, f"keys of: {command.help}")


def written(value: Any) -> str:
    """As it may be typed; empty for None."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:g}"
    return ", ".join(map(written, value)) if isinstance(value, list | tuple) else str(value)


def typed_text(setting: Setting) -> str:
    """What stands in the line when it is to be typed; without the keys that stay with a command in any case."""
    if setting.key.kind == "keys" and setting.found is None:
        return ",".join(key for key in written(setting.usual).split(",") if key not in NEEDED)
    return as_typed(written(setting.value))


def counts(key: Key) -> str:
    """When a change of it is obeyed."""
    return _LATER.get(key.table, AT_ONCE)


def with_unit(value: Any, key: Key) -> str:
    """As it is shown; a length in the user's own units too, since the file has it in metres."""
    if value is None:
        return _UNSET.get(key.id, NOT_SET)
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not is_number:
        return written(value) or "empty"
    shown = f"{written(value)} {key.unit}".rstrip()
    own = in_use().own_lengths(shown) if key.unit == "m" else shown
    return shown if own == shown else f"{shown} ({own})"


def wanted(key: Key) -> str:
    """What may be typed or picked."""
    if key.kind == "number" and key.least is not None and key.most is not None:
        bounds = f"{key.least:g} to {key.most:g} {key.unit}".rstrip()
        return f"{bounds}, or with its unit as {LENGTH_EXAMPLE}" if key.unit == "m" else bounds
    if key.choices:
        among = ", ".join(key.choices)
        return f"some of {among}" if key.kind == "choices" else f"one of {among}"
    if key.kind == "rule":
        return f"as {key.example}; a distance also in ft, yd, mi or NM"
    return "true or false" if key.kind == "switch" else f"as {key.example}"


def matches(one: Setting, typed: str) -> bool:
    """Every word typed, somewhere in its name, its words or its value."""
    text = f"{one.id} {one.words} {written(one.value)} {'' if one.found is None else 'set'}".casefold()
    text = f"{text} {text.replace('_', ' ')}"
    return all(word in text for word in typed.casefold().split())
