"""settings.toml read and checked, table by table: what is wrong is named with its line and what would be right."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any, NamedTuple

from core.accuracy import RANGING_ERROR_M, ErrorModel
from core.errors import InputError, UsageError
from core.feeding.wish import NO_WISH, FeedWish
from core.settings.choices import (
    AlertChoices,
    BoardChoices,
    DarkChoices,
    FolderChoices,
    PositionChoices,
    PowerChoices,
    RecorderChoices,
    ReportChoices,
    Settings,
    StationChoices,
)
from core.settings.key import ANY_COMMAND, Value
from core.settings.keys import Bound, clash, typed
from core.settings.table import KEYS, TABLES, find
from core.settings.values import check
from core.settings.writing import read_text
from core.shown import SHOWN_CHARACTERS, shown
from core.toml_text import parsed
from core.track_rule import USUAL_RULE, TrackRule, parse_rule
from core.units import SYSTEMS, Units

Screens = Iterable[tuple[Bound, ...]]
"""The commands of each screen, for `[keys]`; without any only the names of keys are checked."""


class _Source(NamedTuple):
    """The file and what TOML makes of it."""

    path: Path
    text: str
    found: Mapping[str, Any]
    screens: Screens = ()

    def wrong(self, table: str, name: str, what: str) -> InputError:
        """With the line of it, since the TOML library does not say where a key stood."""
        named = name if len(name) <= SHOWN_CHARACTERS else shown(name)
        return InputError(f"{self.path}, line {line_of(self.text, table, name)}: {named} {what}")


def read_settings(path: Path, screens: Screens = ()) -> Settings:
    """The settings of a file, the usual ones where there is none. Raises InputError naming what is wrong and where."""
    settings, wrong = usable_settings(path, screens)
    if wrong:
        raise wrong[0]
    return settings


def usable_settings(path: Path, screens: Screens = ()) -> tuple[Settings, tuple[InputError, ...]]:
    """The settings of a file as far as they are right, table by table; what is wrong with the others, named with line.

    So a board that starts on a hill records where the file says so, though another table of it has a slip.
    """
    try:
        text = read_text(path)
    except InputError as error:
        return Settings(), (error,)
    return settings_of(path, text, screens)


def settings_of(path: Path, text: str, screens: Screens = ()) -> tuple[Settings, tuple[InputError, ...]]:
    """The same of a text that is not in the file, or not yet; `path` is named in what is wrong."""
    try:
        source = _Source(path, text, _tables(path, text), tuple(screens))
    except InputError as error:
        return Settings(), (error,)
    made: dict[str, Any] = {}
    wrong: list[InputError] = []
    unknown = next((name for name in source.found if name not in TABLES), None)
    if unknown is not None:
        wrong.append(source.wrong("", unknown, _unknown(unknown, TABLES)))
    for name, (table, read) in _READERS.items():
        try:
            values = _checked(source, table)
            if values:
                made[name] = read(source, values)
        except InputError as error:
            wrong.append(error)
    return Settings(**made), tuple(wrong)


def line_of(text: str, table: str, name: str) -> int:
    """Where a key of a table stands, by its header and name; else the first line that names it; else the first."""
    lines = text.split("\n")
    inside = not table
    header, key = (
        re.compile(r"\s*\[\s*([^\[\]]*?)\s*\]\s*(?:#.*)?"),
        re.compile(rf"\s*[\"']?{re.escape(name)}[\"']?\s*[=.]"),
    )
    for number, line in enumerate(lines, 1):
        found = header.fullmatch(line) if len(line) <= 1000 else None
        if found:
            inside = found[1].strip("\"'") == table
            if not table and found[1].strip("\"'") == name:
                return number
        elif inside and key.match(line):
            return number
    return next((number for number, one in enumerate(lines, 1) if name in one), 1)


def _tables(path: Path, text: str) -> dict[str, Any]:
    try:
        return parsed(text) if text else {}
    except ValueError as error:
        raise InputError(f"{path} is no TOML: {error}") from error


def _unknown(name: str, known: tuple[str, ...]) -> str:
    near = get_close_matches(name[:100], known, 1)
    return f"is not known: {f'did you mean {near[0]}?' if near else f'known are {_listed(known)}'}"


def _listed(names: tuple[str, ...]) -> str:
    return ", ".join(names[:20]) + (" ..." if len(names) > 20 else "")


def _checked(source: _Source, table: str) -> dict[str, Any]:
    """What is in a table, every key known and every value right."""
    values = source.found.get(table, {})
    if not isinstance(values, dict):
        raise source.wrong("", table, f"must be a table: [{table}]")
    known = tuple(key.name for key in KEYS if key.table == table)
    checked: dict[str, Value] = {}
    for name, value in values.items():
        key = find(table, name)
        if key is None or name == ANY_COMMAND:
            raise source.wrong(table, name, _unknown(name, known))
        try:
            checked[name] = check(key, value)
        except UsageError as error:
            raise source.wrong(table, name, str(error)) from error
    return checked


def _units(source: _Source, values: Mapping[str, Any]) -> Units:
    del source
    own = {name: value for name, value in values.items() if name != "system"}
    return replace(SYSTEMS[values.get("system", "metric")], **own)


def _frozen(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: tuple(one) if isinstance(one, list) else one for name, one in values.items()}


def _board(source: _Source, values: Mapping[str, Any]) -> BoardChoices:
    if values.get("panes") == []:
        raise source.wrong("board", "panes", "is empty: a board without a pane shows nothing; name one at least")
    return BoardChoices(**_frozen(values))


def _alerts(source: _Source, values: Mapping[str, Any]) -> AlertChoices:
    del source
    return AlertChoices(**_frozen(values))


def _folders(source: _Source, values: Mapping[str, Any]) -> FolderChoices:
    found = {}
    for name, value in values.items():
        try:
            found[name] = Path(value).expanduser()
        except RuntimeError as error:  # the way Path says that it knows no such user
            raise source.wrong(
                "folders", name, "begins at home, and no home folder is known: write all of it"
            ) from error
    return FolderChoices(**found)


def _errors(source: _Source, values: Mapping[str, Any]) -> ErrorModel:
    del source
    return ErrorModel({mode: values.get(str(mode), usual) for mode, usual in RANGING_ERROR_M.items()})


def _home(source: _Source, values: Mapping[str, Any]) -> Any:
    from core.blur import USUAL_RADIUS_M, Home
    from core.places.reading import read  # start-up time: few settings name a home

    if "place" not in values:
        raise source.wrong("home", "radius_m", "is a circle around nothing: place of [home] is wanted too")
    return Home(read(values["place"])[0].position, values.get("radius_m", USUAL_RADIUS_M))


def _feed(source: _Source, values: Mapping[str, Any]) -> FeedWish:
    from core.feeding.plan import feed_plan  # start-up time: few settings speak of a feed

    to = values.get("to", ())
    wish = NO_WISH._replace(**{**values, "to": (to,) if isinstance(to, str) else tuple(to)})
    try:
        feed_plan(wish)
    except UsageError as error:
        raise source.wrong("", "feed", f"is not understood: {error}") from error
    return wish


def _track(source: _Source, values: Mapping[str, Any]) -> TrackRule:
    del source
    return parse_rule(values["rule"]) if "rule" in values else USUAL_RULE


def _keys(source: _Source, values: Mapping[str, Any]) -> dict[str, str]:
    """Every command known, no key twice on a screen, no letters where they filter a list."""
    by_id = {one.id: one for screen in source.screens for one in screen}
    for name, keys in values.items():
        if by_id and name not in by_id:
            raise source.wrong("keys", name, _unknown(name, tuple(by_id)))
        letter = typed(keys) if name in by_id and by_id[name].is_list else None
        if letter:
            raise source.wrong("keys", name, f"has {letter} in it, which filters that list: give it F10, ctrl+t or so")
    for screen in source.screens:
        found = clash(screen, values)
        if found:
            first, second, key = found
            name = second if second in values else first
            raise source.wrong("keys", name, f"has {key}, and so {first} and {second} have the same key: change one")
    return dict(values)


_READERS: dict[str, tuple[str, Callable[[_Source, Mapping[str, Any]], Any]]] = {
    "errors": ("ranging_error_m", _errors),
    "units": ("units", _units),
    "board": ("board", _board),
    "alerts": ("alerts", _alerts),
    "recorder": ("recorder", lambda source, values: RecorderChoices(**values)),
    "folders": ("folders", _folders),
    "position": ("position", lambda source, values: PositionChoices(**values)),
    "track": ("track", _track),
    "before_dark": ("before_dark", lambda source, values: DarkChoices(**values)),
    "stations": ("stations", lambda source, values: StationChoices(**values)),
    "report": ("report", lambda source, values: ReportChoices(**values)),
    "home": ("home", _home),
    "feed": ("feed", _feed),
    "power": ("power", lambda source, values: PowerChoices(**values)),
    "keys": ("keys", _keys),
}
"""By field of Settings: its table in the file, and what is made of the checked values."""
