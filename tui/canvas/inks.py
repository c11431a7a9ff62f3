"""The roles that colours play on the board.

Drawing code names a role, never a colour: which colour (or weight, or nothing at all) a role gets is the palette's
business, so one drawing serves daylight, night and a terminal without colours.
"""

from __future__ import annotations

from bisect import bisect_right
from enum import IntEnum, auto


class Ink(IntEnum):
    """What a character or a dot is there for. A grid cell keeps it in six bits: at most 64 of them."""

    TEXT = 0
    """Values: what the user came to read."""
    MUTED = auto()
    """Labels, units, figures on scales."""
    FAINT = auto()
    """Rings, spokes, ticks: to be seen past, not read."""
    TITLE = auto()
    NORTH = auto()
    """The letter N wherever directions are drawn."""
    COURSE = auto()
    COURSE_UNSURE = auto()
    """A course at a speed where it wanders; its mark is hollow too, colour is never the only cue."""
    HEADING = auto()
    TARGET = auto()
    SIGNAL_0 = auto()
    """A satellite that is not tracked; the five steps above it grow away from the background in one hue."""
    SIGNAL_1 = auto()
    SIGNAL_2 = auto()
    SIGNAL_3 = auto()
    SIGNAL_4 = auto()
    SIGNAL_5 = auto()
    PILL = auto()
    """A name on a pill's paper."""
    BANNER = auto()
    """Words on any of the banner papers."""
    STALE = auto()
    """Values too old to be taken for the present."""
    GOOD = auto()
    WARN = auto()
    ALERT = auto()
    ACCENT = auto()
    """What the keys act on: the footer's keys, a cursor, a chosen line's mark."""
    TRAIL = auto()
    """The track on the map."""


class Paper(IntEnum):
    """What a cell's background is there for."""

    BASE = 0
    PANEL = auto()
    """Title lines and bars: one step off the base."""
    ZONE_LOW = auto()
    """Sky near the horizon; the three zones are tints so close that only true colour shows them."""
    ZONE_MID = auto()
    ZONE_HIGH = auto()
    PILL_0 = auto()
    """The name of a satellite in the fix, when the fix is no longer fresh; 1 to 5 are the signal steps."""
    PILL_1 = auto()
    PILL_2 = auto()
    PILL_3 = auto()
    PILL_4 = auto()
    PILL_5 = auto()
    BANNER_LIVE = auto()
    BANNER_REPLAY = auto()
    BANNER_HELD = auto()
    BANNER_ALERT = auto()
    SELECTED = auto()


SIGNAL_INKS = (Ink.SIGNAL_0, Ink.SIGNAL_1, Ink.SIGNAL_2, Ink.SIGNAL_3, Ink.SIGNAL_4, Ink.SIGNAL_5)
"""By signal step, 0 to 5."""
PILL_PAPERS = (Paper.PILL_0, Paper.PILL_1, Paper.PILL_2, Paper.PILL_3, Paper.PILL_4, Paper.PILL_5)
"""By signal step, 0 to 5."""

SIGNAL_FLOORS_DBHZ = (25, 35, 40, 45)
"""The lowest C/N0 of steps 2 to 5.

Below 25 broadcast orbit data no longer decodes (textbooks, from memory), 25 to 35 is shade and foliage, 35 to 45 a
normal low satellite, 45 and more a strong one in a clear sky (a GNSS glossary, C/N0); cutting 35 to 45 in two is ours.
"""


def signal_step(cno_dbhz: int | None) -> int:
    """The step 0 to 5 of a signal: 0 when nothing is tracked."""
    if not cno_dbhz or cno_dbhz < 0:
        return 0
    return 1 + bisect_right(SIGNAL_FLOORS_DBHZ, cno_dbhz)
