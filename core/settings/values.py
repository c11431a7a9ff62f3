"""Values of the settings: checked by the kind of their key, and read from what somebody types into a field.

| kind        | in the file                        | as it may be typed                     |
|-------------|------------------------------------|----------------------------------------|
| `switch`    | true, false                        | true, yes, on, false, no, off          |
| `number`    | 30 or 30.0, within the range       | the same; of metres also 500 ft, 3 mi  |
| `choice`    | "metric"                           | metric, in any case                    |
| `choices`   | ["sky", "wire"], each once         | sky, wire; or in brackets, as TOML     |
| `rule`      | "every 10 s or 25 m"               | the same                               |
| `place`     | "10.5 N 20.25 W"                   | any notation                           |
| `addresses` | "tcp:10110", or a list of such     | separated by commas                    |
| `words`     | "RMC,GGA"                          | the same                               |
| `folder`    | "/media/stick" or "~/recordings"   | the same                               |
| `keys`      | "m,f12"                            | names of keys, see `core.settings.keys`|
"""

from __future__ import annotations

import math
from collections.abc import Callable
from difflib import get_close_matches
from pathlib import PurePath
from typing import Any

from core.errors import InputError, UsageError
from core.settings.key import Key, Value
from core.settings.keys import key_list
from core.shown import shown
from core.toml_text import parsed
from core.units import length_m

LONGEST = 1000
"""Characters of what is typed, or of a text in the file: no path, list or place that anybody means is longer."""
_SWITCHES = {"true": True, "yes": True, "on": True, "false": False, "no": False, "off": False}
_UNIT_NAMES = {"m": "metres", "min": "minutes", "Hz": "times a second"}


def check(key: Key, value: Any) -> Value:
    """The value as it is used: choices in the table's spelling. Raises UsageError saying what is wanted."""
    return _CHECKS[key.kind](key, value)


def parse(key: Key, text: str) -> Value:
    """What somebody typed, as the file has it. Raises UsageError saying what is wanted, the key named."""
    if len(text) > LONGEST:
        raise UsageError(f"{key.name} has {len(text)} characters: {LONGEST} at most are wanted")
    try:
        return check(key, _typed(key, text.strip()))
    except UsageError as error:
        raise UsageError(f"{key.name} {error}") from error


def _typed(key: Key, text: str) -> Any:
    if key.kind == "switch":
        return _SWITCHES.get(text.lower(), text)
    if key.kind == "number":
        return _number_of(key, text)
    if key.kind in {"choices", "addresses"}:
        parts = _list_of(text)
        return parts[0] if key.kind == "addresses" and len(parts) == 1 else parts
    return text


def _number_of(key: Key, text: str) -> Any:
    """A length in any unit comes out in metres, as the file has it; a bare number is of them already."""
    metres = length_m(text) if key.unit == "m" else None
    if metres is not None:
        return round(metres, 6)
    bare = text.removesuffix(key.unit).strip().replace(",", ".")
    try:
        found = float(bare)
    except ValueError:
        return text
    return int(found) if math.isfinite(found) and found == int(found) and "." not in bare else found


def _list_of(text: str) -> Any:
    if text.startswith("["):
        try:
            return parsed(f"x = {text}")["x"]
        except (ValueError, KeyError):
            return text
    return [part.strip() for part in text.split(",") if part.strip()]


def _switch(key: Key, value: Any) -> Value:
    del key
    if not isinstance(value, bool):
        raise UsageError(f"is {shown(value)}: true or false is wanted")
    return value


def _number(key: Key, value: Any) -> Value:
    low, high = key.least if key.least is not None else -math.inf, key.most if key.most is not None else math.inf
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        what = _UNIT_NAMES.get(key.unit, "a number")
        verb = "is" if what.startswith("a ") else "are"
        raise UsageError(f"is {shown(value)}: {what} from {low:g} to {high:g} {verb} wanted")
    return float(value)


def _choice(key: Key, value: Any) -> Value:
    found = {one.lower(): one for one in key.choices}.get(value.lower()) if isinstance(value, str) else None
    if found is None:
        raise UsageError(f"is {shown(value)}: {_hint(value, key.choices)}")
    return found


def _choices(key: Key, value: Any) -> Value:
    if not isinstance(value, list):
        raise UsageError(f"is {shown(value)}: a list is wanted, as {key.example}")
    if any(one not in key.choices for one in value):
        wrong = next(one for one in value if one not in key.choices)
        raise UsageError(f"has {shown(wrong)} in it: {_hint(wrong, key.choices)}")
    if len(set(value)) < len(value):
        twice = next(one for one in value if value.count(one) > 1)
        raise UsageError(f"has {twice} in it twice: leave one out")
    return list(value)


def _hint(value: Any, known: tuple[str, ...]) -> str:
    near = get_close_matches(value[:LONGEST], known, 1) if isinstance(value, str) else []
    return f"did you mean {near[0]}?" if near else f"one of {', '.join(known)} is wanted"


def _rule(key: Key, value: Any) -> Value:
    from core.track_rule import parse_rule

    if not isinstance(value, str):
        raise UsageError(f"is {shown(value)}: words are wanted, as {key.example}")
    try:
        parse_rule(value)
    except InputError as error:
        raise UsageError(f"is not understood: {error}") from error
    return value


def _place(key: Key, value: Any) -> Value:
    from core.places.reading import read  # start-up time: few settings name a place

    try:
        meanings = read(value) if isinstance(value, str) else ()
    except InputError as error:
        raise UsageError(f"of [{key.table}]: {error}") from error
    if len(meanings) != 1:
        raise UsageError(f"of [{key.table}] is {shown(value)}: one place is wanted, as {key.example}")
    return str(value)


def _addresses(key: Key, value: Any) -> Value:
    from core.feeding.address import feed_address  # start-up time: few settings speak of a feed

    addresses = [value] if isinstance(value, str) else value
    if not isinstance(addresses, list) or not all(isinstance(one, str) for one in addresses):
        raise UsageError(f"is {shown(value)}: an address is wanted, as {key.example}, or a list of them")
    for one in addresses:
        try:
            feed_address(one)
        except UsageError as error:
            raise UsageError(f"is not understood: {error}") from error
    return value if isinstance(value, str) else list(addresses)


def _words(key: Key, value: Any) -> Value:
    if not isinstance(value, str) or len(value) > LONGEST:
        raise UsageError(f"is {shown(value)}: words are wanted, as {key.example}")
    return value


def _folder(key: Key, value: Any) -> Value:
    """An absolute path, or one that begins at home: another would mean a different folder wherever one starts."""
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST or "\0" in value:
        raise UsageError(f"is {shown(value)}: a folder is wanted, as {key.example}")
    is_home = value == "~" or value.startswith(("~/", "~\\"))
    if not (is_home or PurePath(value).is_absolute()):
        raise UsageError(f"is {shown(value)}: a whole path is wanted, or one from your home folder, as {key.example}")
    return value


def _keys(key: Key, value: Any) -> Value:
    if not isinstance(value, str):
        raise UsageError(f"is {shown(value)}: keys are wanted, as {key.example}")
    key_list(value[: LONGEST + 1])
    return value


_CHECKS: dict[str, Callable[[Key, Any], Value]] = {
    "switch": _switch,
    "number": _number,
    "choice": _choice,
    "choices": _choices,
    "rule": _rule,
    "place": _place,
    "addresses": _addresses,
    "words": _words,
    "folder": _folder,
    "keys": _keys,
}
