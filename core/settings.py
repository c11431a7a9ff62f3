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

    [stations]
    antenna_m = 6.0         # how high your antenna is above the land around, for the radio horizon; unknown without

    [report]
    leading_zeros = true    # say 011 degrees, not 11; unset: as the listener's service has it (sea with, others not)

    [home]
    place = "10.5 N 20.25 W"    # in any notation: a precise position near it is handed on only after a warning
    radius_m = 500          # how near is near

    [feed]                  # what O on the board feeds other programs with, unless --feed says otherwise
    to = "tcp:10110"        # or several, as ["tcp:10110", "pty"]
    form = "auto"           # raw: the source's own sentences; rebuilt; auto: raw from a receiver, else rebuilt
    types = "RMC,GGA"       # unset: all
    rate_hz = 1.0           # epochs a second at most; unset: as they come
    talker = "GN"           # of rebuilt sentences

    [power]
    saving_on_battery = false   # true: on battery the board saves power by itself

fixboard reads the file and never writes it. What is wrong in it is named, with the nearest name that would be right.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

from core.accuracy import RANGING_ERROR_M, ErrorModel
from core.errors import InputError, UsageError
from core.feeding.wish import NO_WISH, FeedWish
from core.plain_files import read_plain
from core.shown import SHOWN_CHARACTERS, shown
from core.toml_text import parsed
from core.track_rule import USUAL_RULE, TrackRule, parse_rule

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.blur import Home

LARGEST = 1_000_000
"""Bytes of the file."""
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
class StationChoices:
    """What radio stations are held against."""

    antenna_m: float | None = None
    """Height of the user's own antenna above the land (or sea) around, 0 to 9000; None: unknown."""


@dataclass(frozen=True, slots=True)
class ReportChoices:
    """How a position is read out."""

    leading_zeros: bool | None = None
    """Of degrees and minutes; None: as the listener's service has it."""


@dataclass(frozen=True, slots=True)
class PowerChoices:
    """What is done about the battery."""

    saving_on_battery: bool = False
    """Whether the board saves power by itself while the computer runs on its battery."""


@dataclass(frozen=True, slots=True)
class Settings:
    """All of them."""

    errors: ErrorModel = field(default_factory=ErrorModel)
    recorder: RecorderChoices = RecorderChoices()
    position: PositionChoices = PositionChoices()
    track: TrackRule = USUAL_RULE
    before_dark: DarkChoices = DarkChoices()
    stations: StationChoices = StationChoices()
    report: ReportChoices = ReportChoices()
    home: Home | None = None
    feed: FeedWish = NO_WISH
    power: PowerChoices = PowerChoices()


_TABLES = {
    "ranging_error_m": tuple(str(mode) for mode in RANGING_ERROR_M),
    "recorder": tuple(one.name for one in fields(RecorderChoices)),
    "position": tuple(one.name for one in fields(PositionChoices)),
    "track": ("rule",),
    "before_dark": tuple(one.name for one in fields(DarkChoices)),
    "stations": tuple(one.name for one in fields(StationChoices)),
    "report": tuple(one.name for one in fields(ReportChoices)),
    "home": ("place", "radius_m"),
    "feed": FeedWish._fields,
    "power": tuple(one.name for one in fields(PowerChoices)),
}


def read_settings(path: Path) -> Settings:
    """The settings of a file, the usual ones where there is none. Raises InputError naming what is wrong and where."""
    settings, wrong = usable_settings(path)
    if wrong:
        raise wrong[0]
    return settings


def usable_settings(path: Path) -> tuple[Settings, tuple[InputError, ...]]:
    """The settings of a file as far as they are right, table by table; what is wrong with the others, named with line.

    So a board that starts on a hill records where the file says so, though another table of it has a slip.
    """
    try:
        text, found = _read(path)
    except InputError as error:
        return Settings(), (error,)
    made: dict[str, Any] = {}
    wrong: list[InputError] = []
    try:
        _check_names(path, text, found, tuple(_TABLES))
    except InputError as error:
        wrong.append(error)
    for name, read in _READERS.items():
        try:
            made[name] = read(path, text, found)
        except InputError as error:
            wrong.append(error)
    return Settings(**made), tuple(wrong)


def _read(path: Path) -> tuple[str, dict[str, Any]]:
    """Its text and what TOML makes of it, nothing where there is no file. Raises InputError."""
    try:
        data = read_plain(path, LARGEST)
        # Some editors put a mark of three bytes first; lines may end as on any system.
        text = data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except FileNotFoundError:
        return "", {}
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path} cannot be read ({error}): correct it, or move it away") from error
    if len(data) > LARGEST:
        raise InputError(f"{path} has more than {LARGEST} bytes: those are no settings; move it away")
    try:
        return text, parsed(text)
    except ValueError as error:
        raise InputError(f"{path} is no TOML: {error}") from error


def _errors(path: Path, text: str, found: Mapping[str, Any]) -> ErrorModel:
    table = _table(path, text, found, "ranging_error_m")
    _check_names(path, text, table, _TABLES["ranging_error_m"])
    for name, value in table.items():
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if not (is_number and SMALLEST_M <= value <= LARGEST_M):
            raise _wrong(path, text, name, f"is {shown(value)}: metres from {SMALLEST_M:g} to {LARGEST_M:g} are wanted")
    return ErrorModel({mode: float(table.get(str(mode), usual)) for mode, usual in RANGING_ERROR_M.items()})


def _switches(path: Path, text: str, found: Mapping[str, Any], of: str) -> dict[str, bool]:
    table = _table(path, text, found, of)
    _check_names(path, text, table, _TABLES[of])
    for name, value in table.items():
        if not isinstance(value, bool):
            raise _wrong(path, text, name, f"is {shown(value)}: true or false is wanted")
    return table


_RANGES = {"margin_min": (0.0, 600.0), "factor": (1.0, 2.0), "antenna_m": (0.0, 9000.0)}


def _numbers(path: Path, text: str, found: Mapping[str, Any], of: str) -> dict[str, float]:
    table = _table(path, text, found, of)
    _check_names(path, text, table, _TABLES[of])
    for name, value in table.items():
        low, high = _RANGES[name]
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise _wrong(path, text, name, f"is {shown(value)}: a number from {low:g} to {high:g} is wanted")
    return {name: float(value) for name, value in table.items()}


def _home(path: Path, text: str, found: Mapping[str, Any]) -> Home | None:
    """None where the settings name no place."""
    from core.blur import USUAL_RADIUS_M, Home

    table = _table(path, text, found, "home")
    _check_names(path, text, table, _TABLES["home"])
    if not table:
        return None
    from core.places.reading import read  # start-up time: few settings name a home

    radius_m, place = table.get("radius_m", USUAL_RADIUS_M), table.get("place")
    if isinstance(radius_m, bool) or not isinstance(radius_m, int | float) or not 1.0 <= radius_m <= 50_000.0:
        raise _wrong(path, text, "radius_m", f"is {shown(radius_m)}: metres from 1 to 50000 are wanted")
    try:
        meanings = read(place) if isinstance(place, str) else ()
    except InputError as error:
        raise _wrong(path, text, "place", f"of [home]: {error}") from error
    if len(meanings) != 1:
        raise _wrong(path, text, "place", f"of [home] is {shown(place)}: one place is wanted, as '10.5 N 20.25 W'")
    return Home(meanings[0].position, float(radius_m))


def _feed(path: Path, text: str, found: Mapping[str, Any]) -> FeedWish:
    table = _table(path, text, found, "feed")
    _check_names(path, text, table, _TABLES["feed"])
    if not table:
        return NO_WISH
    from core.feeding.plan import feed_plan  # start-up time: few settings speak of a feed

    to, rate_hz = table.get("to", ()), table.get("rate_hz")
    addresses = (to,) if isinstance(to, str) else to
    if not isinstance(addresses, list | tuple) or not all(isinstance(one, str) for one in addresses):
        raise _wrong(path, text, "to", f"is {shown(to)}: an address is wanted, as 'tcp:10110', or a list of them")
    # Whole numbers may be larger than any float; which rates will do says the plan.
    if isinstance(rate_hz, bool) or not isinstance(rate_hz, int | float | None) or abs(rate_hz or 0) > 1e6:
        raise _wrong(path, text, "rate_hz", f"is {shown(rate_hz)}: a number of epochs a second is wanted")
    words = {name: table.get(name, getattr(NO_WISH, name)) for name in ("form", "types", "talker")}
    for name, value in words.items():
        if not isinstance(value, str):
            raise _wrong(path, text, name, f"is {shown(value)}: words are wanted")
    wish = FeedWish(tuple(addresses), rate_hz=None if rate_hz is None else float(rate_hz), **words)
    try:
        feed_plan(wish)
    except UsageError as error:
        raise _wrong(path, text, "feed", f"is not understood: {error}") from error
    return wish


def _rule(path: Path, text: str, found: Mapping[str, Any]) -> TrackRule:
    table = _table(path, text, found, "track")
    _check_names(path, text, table, _TABLES["track"])
    rule = table.get("rule", str(USUAL_RULE))
    if not isinstance(rule, str):
        raise _wrong(path, text, "rule", f"is {shown(rule)}: words are wanted, as {str(USUAL_RULE)!r}")
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
    from difflib import get_close_matches

    for name in table:
        if name not in known:
            near = get_close_matches(name, known, 1)
            hint = f"did you mean {near[0]}?" if near else f"known are {', '.join(known)}"
            raise _wrong(path, text, name, f"is not known: {hint}")


def _wrong(path: Path, text: str, name: str, what: str) -> InputError:
    """With the first line that names it, since the TOML library does not say where a key stood."""
    line = next((number for number, one in enumerate(text.split("\n"), 1) if name in one), 1)
    return InputError(f"{path}, line {line}: {name if len(name) <= SHOWN_CHARACTERS else shown(name)} {what}")


_READERS: dict[str, Callable[[Path, str, Mapping[str, Any]], Any]] = {
    "errors": _errors,
    "recorder": lambda path, text, found: RecorderChoices(**_switches(path, text, found, "recorder")),
    "position": lambda path, text, found: PositionChoices(**_switches(path, text, found, "position")),
    "track": _rule,
    "before_dark": lambda path, text, found: DarkChoices(**_numbers(path, text, found, "before_dark")),
    "stations": lambda path, text, found: StationChoices(**_numbers(path, text, found, "stations")),
    "report": lambda path, text, found: ReportChoices(**_switches(path, text, found, "report")),
    "home": _home,
    "feed": _feed,
    "power": lambda path, text, found: PowerChoices(**_switches(path, text, found, "power")),
}
"""By field of Settings."""
