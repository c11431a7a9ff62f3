"""Every key of settings.toml, once: reading, nearest names, README's block and the settings screen are made from it.

for key in KEYS: ...                           # in the order of README
value = parse(key, "30")                       # what somebody typed, as TOML has it; UsageError says what is wanted
write_setting(path, key, "30")                 # into the user's file, whose comments stay; None takes the key out
"""

from __future__ import annotations

from core.accuracy import RANGING_ERROR_M
from core.board_panes import PANES
from core.settings.key import ANY_COMMAND, Key
from core.settings.values import parse
from core.settings.writing import write_setting

__all__ = ["ALERT_EVENTS", "CHART_SPANS", "KEYS", "PANES", "TABLES", "Key", "find", "parse", "write_setting"]

ALERT_EVENTS = ("lost", "back", "doubtful", "arrival", "turn_back")
"""What the bell can ring for."""
CHART_SPANS = ("2 min", "5 min", "15 min", "30 min", "1 h")
"""Lengths of the charts' time axis."""
THEMES = ("dark", "daylight", "night")
NOTATIONS = ("decimal", "degrees_minutes", "degrees_minutes_seconds")

_SIGMA = "assumed error of one range in this mode, one sigma: what the 95 % error is estimated with"
_RANGING = tuple(
    Key("ranging_error_m", str(mode), "number", usual, _SIGMA, f"{usual:g}", (), 0.001, 1000.0, "m")
    for mode, usual in RANGING_ERROR_M.items()
)
"""Below a millimetre no receiver is, beyond a kilometre none would be worth reading."""

KEYS: tuple[Key, ...] = (
    Key(
        "units", "system", "choice", "metric",
        "units on the screen, in texts and on pages to read; JSON and exports stay SI",
        '"metric"', ("metric", "statute", "nautical"),
    ),
    Key("units", "distance", "choice", None, "of long ways, instead of the system's", '"mi"', ("km", "mi", "NM")),
    Key("units", "short", "choice", None, "of short ways and errors, instead of its", '"yd"', ("m", "yd", "ft")),
    Key(
        "units", "speed", "choice", None, "of speeds, instead of the system's", '"km/h"', ("m/s", "km/h", "mph", "kn"),
    ),
    Key("units", "height", "choice", None, "of heights, instead of the system's", '"ft"', ("m", "ft")),
    Key("board", "theme", "choice", "dark", "colours to begin with", '"night"', THEMES),
    Key("board", "notation", "choice", "decimal", "how positions are written", '"degrees_minutes"', NOTATIONS),
    Key(
        "board", "bearings", "choice", "true", "the north that bearings in words are counted from", '"magnetic"',
        ("true", "magnetic", "grid"),
    ),
    Key(
        "board", "orientation", "choice", "north-up", "what is at the top of sky and compass", '"course-up"',
        ("north-up", "course-up", "head-up"),
    ),
    Key(
        "board", "panes", "choices", list(PANES), "panes of the board where there is room; the layout fills the rest",
        '["position", "fix", "goto", "compass"]', PANES,
    ),
    Key("board", "chart_span", "choice", "5 min", "length of the charts' time axis", '"15 min"', CHART_SPANS),
    Key(
        "alerts", "bell", "choice", "live", "rings always, never, or for live sources alone", '"live"',
        ("on", "off", "live"),
    ),
    Key(
        "alerts", "events", "choices", list(ALERT_EVENTS), "what it rings for", '["lost", "back", "arrival"]',
        ALERT_EVENTS,
    ),
    Key("recorder", "always", "switch", False, "record live sources from the start", "true"),
    Key("recorder", "exact", "switch", False, "bytes exactly as received, without times of arrival", "false"),
    Key("recorder", "compress", "switch", False, "compress each file once it is complete", "false"),
    Key(
        "track", "rule", "rule", "every 10 s or 25 m or 20 deg", "when a point of the track is kept: any of them",
        '"every 10 s or 25 m or 20 deg"',
    ),
    Key("folders", "recordings", "folder", None, "where recordings go; else recordings/ beside it", '"~/recordings"'),
    Key("folders", "stations", "folder", None, "your lists of stations; else stations/ beside it", '"~/stations"'),
    Key("before_dark", "margin_min", "number", 30.0, "kept in hand before dark", "30", (), 0.0, 600.0, "min"),
    Key(
        "before_dark", "factor", "number", 1.25, "the way back may take so many times as long as estimated", "1.25",
        (), 1.0, 2.0,
    ),
    Key(
        "position", "pin_digits", "switch", False, "always to about a metre; else as the 95 % error is worth", "false"
    ),
    Key(
        "stations", "antenna_m", "number", None, "your antenna above the land around, for the radio horizon", "6.0",
        (), 0.0, 9000.0, "m",
    ),
    Key(
        "report", "leading_zeros", "switch", None, "of degrees read out; else as the service has it: at sea with",
        "false",
    ),
    Key(
        "home", "place", "place", None, "in any notation: a precise position near it is handed on only with a warning",
        '"10.5 N 20.25 W"',
    ),
    Key("home", "radius_m", "number", 500.0, "how near is near", "500", (), 1.0, 50_000.0, "m"),
    Key("feed", "to", "addresses", None, "where O feeds other programs; several as a list", '"tcp:10110"'),
    Key(
        "feed", "form", "choice", "auto", "the source's sentences, rebuilt ones, or as suits it", '"auto"',
        ("auto", "raw", "rebuilt"),
    ),
    Key("feed", "types", "words", "", "types of sentences; empty: all", '"RMC,GGA"'),
    Key("feed", "rate_hz", "number", None, "epochs a second at most; else as they come", "1.0", (), 0.01, 50.0, "Hz"),
    Key("feed", "talker", "words", "", "of rebuilt sentences: two letters", '"GN"'),
    Key("power", "saving_on_battery", "switch", False, "save power by itself on battery", "false"),
    *_RANGING,
    Key(
        "keys", ANY_COMMAND, "keys", None, "keys of any command of the board by its id, instead of its own", '"m,f12"'
    ),
)  # fmt: skip

TABLES: tuple[str, ...] = tuple(dict.fromkeys(key.table for key in KEYS))
"""In that order."""


def find(table: str, name: str) -> Key | None:
    """The row of a key; None where there is none. In `[keys]` any name is one."""
    return next((key for key in KEYS if key.table == table and key.name in {name, ANY_COMMAND}), None)
