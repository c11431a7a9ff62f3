"""What the user may set, in a TOML file of their own; sensible without any.

    [ranging_error_m]       # one sigma of a pseudorange, metres, by mode: what the 95 % error is estimated with
    autonomous = 4.0

    [recorder]
    always = true           # record live sources from the start
    exact = false           # bytes exactly as received, without times of arrival
    compress = false        # compress each file once it is complete

    [track]
    rule = "every 10 s or 25 m or 20 deg"   # when a point of the track is kept

    [before_dark]
    margin_min = 30         # minutes kept in hand when the time to turn back is worked out
    factor = 1.25           # the way back may take so many times as long, 1 to 2

    [position]
    pin_digits = false      # true: always to about a metre; otherwise as many digits as the 95 % error is worth

fixboard reads the file and never writes it. What is wrong in it is named, with the nearest name that would be right.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from core.accuracy import RANGING_ERROR_M, ErrorModel
from core.errors import InputError
from core.track_rule import USUAL_RULE, TrackRule, parse_rule

SMALLEST_M, LARGEST_M = 0.001, 1000.0
"""Of a ranging error: below the first no receiver is, beyond the second none would be worth reading."""


@dataclass(frozen=True, slots=True)
class RecorderChoices:
    """How to record."""

    always: bool = False
    """Live sources from the start."""
    exact: bool = False
    """Bytes exactly as received."""
    compress: bool = False
    """Each file once it is complete."""


@dataclass(frozen=True, slots=True)
class PositionChoices:
    """How to write a position."""

    pin_digits: bool = False
    """Always to about a metre, whatever the 95 % error."""


@dataclass(frozen=True, slots=True)
class DarkChoices:
    """What is kept in hand when the time to turn back is worked out."""

    margin_min: float = 30.0
    """Minutes, 0 to 600."""
    factor: float = 1.25
    """Times as long as estimated, 1 to 2."""


@dataclass(frozen=True, slots=True)
class Settings:
    """All of them."""

    errors: ErrorModel = field(default_factory=ErrorModel)
    recorder: RecorderChoices = RecorderChoices()
    position: PositionChoices = PositionChoices()
    track: TrackRule = USUAL_RULE
    before_dark: DarkChoices = DarkChoices()


_TABLES = {
    "ranging_error_m": tuple(str(mode) for mode in RANGING_ERROR_M),
    "recorder": tuple(one.name for one in fields(RecorderChoices)),
    "position": tuple(one.name for one in fields(PositionChoices)),
    "track": ("rule",),
    "before_dark": tuple(one.name for one in fields(DarkChoices)),
}


def read_settings(path: Path) -> Settings:
    """The settings of a file, the usual ones where there is none. Raises InputError naming what is wrong and where."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return Settings()
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path} cannot be read ({error}): correct it, or move it away") from error
    try:
        found = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(f"{path} is no TOML: {error}") from error
    _check_names(path, text, found, tuple(_TABLES))
    return Settings(
        _errors(path, text, found),
        RecorderChoices(**_switches(path, text, found, "recorder")),
        PositionChoices(**_switches(path, text, found, "position")),
        _rule(path, text, found),
        DarkChoices(**_numbers(path, text, found, "before_dark")),
    )


def _errors(path: Path, text: str, found: Mapping[str, Any]) -> ErrorModel:
    table = _table(path, text, found, "ranging_error_m")
    _check_names(path, text, table, _TABLES["ranging_error_m"])
    for name, value in table.items():
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if not (is_number and SMALLEST_M <= value <= LARGEST_M):
            raise _wrong(path, text, name, f"is {value!r}: metres from {SMALLEST_M:g} to {LARGEST_M:g} are wanted")
    return ErrorModel({mode: float(table.get(str(mode), usual)) for mode, usual in RANGING_ERROR_M.items()})


def _switches(path: Path, text: str, found: Mapping[str, Any], of: str) -> dict[str, bool]:
    table = _table(path, text, found, of)
    _check_names(path, text, table, _TABLES[of])
    for name, value in table.items():
        if not isinstance(value, bool):
            raise _wrong(path, text, name, f"is {value!r}: true or false is wanted")
    return table


_RANGES = {"margin_min": (0.0, 600.0), "factor": (1.0, 2.0)}


def _numbers(path: Path, text: str, found: Mapping[str, Any], of: str) -> dict[str, float]:
    table = _table(path, text, found, of)
    _check_names(path, text, table, _TABLES[of])
    for name, value in table.items():
        low, high = _RANGES[name]
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise _wrong(path, text, name, f"is {value!r}: a number from {low:g} to {high:g} is wanted")
    return {name: float(value) for name, value in table.items()}


def _rule(path: Path, text: str, found: Mapping[str, Any]) -> TrackRule:
    table = _table(path, text, found, "track")
    _check_names(path, text, table, _TABLES["track"])
    rule = table.get("rule", str(USUAL_RULE))
    if not isinstance(rule, str):
        raise _wrong(path, text, "rule", f"is {rule!r}: words are wanted, as {str(USUAL_RULE)!r}")
    try:
        return parse_rule(rule)
    except InputError as error:
        raise _wrong(path, text, "rule", f"is not understood: {error}") from error


def _table(path: Path, text: str, found: Mapping[str, Any], name: str) -> dict[str, Any]:
    table = found.get(name, {})
    if not isinstance(table, dict):
        raise _wrong(path, text, name, f"must be a table: [{name}]")
    return table


def _check_names(path: Path, text: str, table: Mapping[str, Any], known: tuple[str, ...]) -> None:
    for name in table:
        if name not in known:
            near = get_close_matches(name, known, 1)
            hint = f"did you mean {near[0]}?" if near else f"known are {', '.join(known)}"
            raise _wrong(path, text, name, f"is not known: {hint}")


def _wrong(path: Path, text: str, name: str, what: str) -> InputError:
    """With the first line that names it, since the TOML library does not say where a key stood."""
    line = next((number for number, one in enumerate(text.splitlines(), 1) if name in one), 1)
    return InputError(f"{path}, line {line}: {name} {what}")
