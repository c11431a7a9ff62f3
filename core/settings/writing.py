"""One key of the user's settings file written, its comments and order kept: the file stays theirs.

Under a lock the file is read anew, edited, read again as a check, and put in the place of the old one in one step,
with the generation before it as `.bak`.
"""

from __future__ import annotations

import codecs
from pathlib import Path
from typing import TYPE_CHECKING, Any

from core.errors import InputError
from core.plain_files import read_plain
from core.settings.key import Key, Value
from core.settings.values import parse
from core.toml_text import parsed

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

LARGEST = 1_000_000
"""Bytes of the file."""


def write_setting(path: Path, key: Key, text: str | None, *, name: str = "") -> None:
    """What was typed for a key, or without the key where it is None; the file is made where there is none.

    `name`: the command, for a row of `[keys]` that stands for any. Raises UsageError where the text is no value of the
    key, InputError where the file cannot be read, edited or saved: it is then as it was.
    """
    value = None if text is None else parse(key, text)
    write_value(path, (key.table, name or key.name), value)


def write_value(path: Path, place: tuple[str, str], value: Value | None) -> None:
    """The same for a value that is checked by now. `place`: table and key."""
    from core.file_lock import locked
    from core.storage import replace_file, sweep

    with locked(path):
        sweep(path)
        before = read_text(path)
        after = edited(before, place, value, path)
        if after != before:
            replace_file(path, _as_it_was(path, after))


def _as_it_was(path: Path, text: str) -> bytes:
    """With the ends of lines, and the mark at its begin, that the file had: some editors want theirs."""
    try:
        old = read_plain(path, LARGEST)
    except OSError:
        old = b""
    data = text.replace("\n", "\r\n") if b"\r\n" in old else text
    return (codecs.BOM_UTF8 if old.startswith(codecs.BOM_UTF8) else b"") + data.encode("utf-8")


def read_text(path: Path) -> str:
    """The file, empty where there is none, with lines that end in one way. Raises InputError."""
    try:
        data = read_plain(path, LARGEST)
        # Some editors put a mark of three bytes first; lines may end as on any system.
        text = data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except FileNotFoundError:
        return ""
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path} cannot be read ({error}): correct it, or move it away") from error
    if len(data) > LARGEST:
        raise InputError(f"{path} has more than {LARGEST} bytes: those are no settings; move it away")
    return text


def edited(text: str, place: tuple[str, str], value: Value | None, path: Path) -> str:
    """The text with that value in its place. Raises InputError where it cannot be edited."""
    import tomlkit  # start-up time: few sessions change a setting
    from tomlkit.exceptions import TOMLKitError

    try:
        wanted = parsed(text)
    except ValueError as error:
        raise InputError(f"{path} is no TOML: {error}") from error
    _put(wanted, place, value)
    try:
        document = tomlkit.parse(text)
        _put_in_document(document, place, value)
        after = tomlkit.dumps(document)
        right = parsed(after) == wanted
    except (TOMLKitError, ValueError, TypeError, AttributeError, RecursionError) as error:
        raise _too_odd(path, place) from error
    if not right:
        raise _too_odd(path, place)
    return after


def _too_odd(path: Path, place: tuple[str, str]) -> InputError:
    return InputError(f"{path} is written too oddly to change {place[1]} of [{place[0]}] in it: change it in an editor")


def _put(found: dict[str, Any], place: tuple[str, str], value: Value | None) -> None:
    """What a reader shall find afterwards."""
    table = found.setdefault(place[0], {}) if value is not None else found.get(place[0], {})
    if isinstance(table, dict):
        if value is None:
            table.pop(place[1], None)
        else:
            table[place[1]] = value


def _put_in_document(document: TOMLDocument, place: tuple[str, str], value: Value | None) -> None:
    import tomlkit

    table, name = place
    if value is None:
        if table in document and name in document[table]:
            del document[table][name]
        return
    if table not in document:
        if document.as_string() and not document.as_string().endswith("\n\n"):
            document.add(tomlkit.nl())
        document.add(table, tomlkit.table())
    held = document[table]
    if name in held:
        item = tomlkit.item(value)
        trivia = held.item(name).trivia
        item.trivia.comment, item.trivia.comment_ws = trivia.comment, trivia.comment_ws
        held[name] = item
    else:
        held.add(name, value)
