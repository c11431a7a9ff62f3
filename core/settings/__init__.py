"""What the user may set, in one TOML file of their own; sensible without any.

`core.settings.table.KEYS` has every key: kind, range, what counts without it, a line of words, an example. Reading
(`reading`), nearest names, README's block and the settings screen are made from it; `choices` is what they come to.
The file is the user's: the board edits a key of it only by the settings screen (`writing`), and comments stay.

Settings are where the board starts. What is then chosen by key (theme, notation, bell) is remembered in board.toml,
together with what the settings said at that moment, and counts until the settings say something else: whoever spoke
last, by key or by file, is obeyed. The file's date would not do, since another key of it may have changed, and copies
of files get new dates.
"""

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
from core.settings.reading import read_settings, usable_settings

__all__ = [
    "AlertChoices",
    "BoardChoices",
    "DarkChoices",
    "FolderChoices",
    "PositionChoices",
    "PowerChoices",
    "RecorderChoices",
    "ReportChoices",
    "Settings",
    "StationChoices",
    "read_settings",
    "usable_settings",
]
