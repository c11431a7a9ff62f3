"""Styles for terminals with sixteen colours of their own choosing, and for those without any.

Sixteen colours have no known values: whether "white" can be read depends on the user's terminal. So ordinary text keeps
the terminal's own colour, weight says what lightness says elsewhere, and filled shapes are reversed. A paper is listed
after the ink it meets, so what it says wins; inks never reverse, because a blank joins the run to its left.
"""

from __future__ import annotations

from tui.canvas.colours import Wording
from tui.canvas.inks import PILL_PAPERS, Ink, Paper

_NO_TINTS = dict.fromkeys((Paper.BASE, Paper.PANEL, Paper.ZONE_LOW, Paper.ZONE_MID, Paper.ZONE_HIGH), "")

SIXTEEN = Wording(
    {
        Ink.TEXT: "",
        Ink.MUTED: "dim",
        Ink.FAINT: "dim",
        Ink.TITLE: "bold",
        Ink.NORTH: "bold red",
        Ink.COURSE: "cyan",
        Ink.COURSE_UNSURE: "dim",
        Ink.HEADING: "bright_blue",
        Ink.TARGET: "magenta",
        Ink.SIGNAL_0: "dim",
        Ink.SIGNAL_1: "dim green",
        Ink.SIGNAL_2: "dim green",
        Ink.SIGNAL_3: "green",
        Ink.SIGNAL_4: "green",
        Ink.SIGNAL_5: "bold green",
        Ink.PILL: "",
        Ink.BANNER: "",
        Ink.STALE: "dim",
        Ink.GOOD: "green",
        Ink.WARN: "yellow",
        Ink.ALERT: "bold red",
        Ink.ACCENT: "bold",
        Ink.TRAIL: "yellow",
    },
    {
        **_NO_TINTS,
        Paper.PILL_0: "not bold dim default reverse",
        **dict.fromkeys(PILL_PAPERS[1:3], "not bold not dim green reverse"),
        **dict.fromkeys(PILL_PAPERS[3:], "bold not dim green reverse"),
        Paper.BANNER_LIVE: "not dim green reverse",
        Paper.BANNER_REPLAY: "not dim cyan reverse",
        Paper.BANNER_HELD: "not dim yellow reverse",
        Paper.BANNER_ALERT: "bold not dim red reverse",
        Paper.SELECTED: "not dim default reverse",
    },
)

_ON_BLACK = dict.fromkeys(_NO_TINTS, "on black")

SIXTEEN_NIGHT = Wording(
    {
        **dict.fromkeys(Ink, "red"),
        **dict.fromkeys((Ink.FAINT, Ink.SIGNAL_0, Ink.SIGNAL_1, Ink.SIGNAL_2, Ink.STALE), "dim red"),
        **dict.fromkeys((Ink.TITLE, Ink.NORTH, Ink.ALERT, Ink.ACCENT, Ink.SIGNAL_5), "bold red"),
    },
    {
        **_ON_BLACK,
        Paper.PILL_0: "not bold dim black on red",
        **dict.fromkeys(PILL_PAPERS[1:], "not dim black on red"),
        **dict.fromkeys(
            (Paper.BANNER_LIVE, Paper.BANNER_REPLAY, Paper.BANNER_HELD, Paper.BANNER_ALERT, Paper.SELECTED),
            "not dim black on red",
        ),
    },
)
"""Named black and red: the only two of the sixteen that stay what they are called in nearly every terminal's set
(common practice, no source), and the terminal's own background may be white."""

_WEAK = (Ink.MUTED, Ink.FAINT, Ink.COURSE_UNSURE, Ink.SIGNAL_0, Ink.SIGNAL_1, Ink.SIGNAL_2, Ink.STALE)
_STRONG = (Ink.TITLE, Ink.NORTH, Ink.COURSE, Ink.TARGET, Ink.SIGNAL_5, Ink.WARN, Ink.ALERT, Ink.ACCENT)

COLOURLESS = Wording(
    {**dict.fromkeys(Ink, ""), **dict.fromkeys(_WEAK, "dim"), **dict.fromkeys(_STRONG, "bold")},
    {
        **_NO_TINTS,
        **dict.fromkeys(PILL_PAPERS, "not dim reverse"),
        **dict.fromkeys((Paper.BANNER_LIVE, Paper.BANNER_REPLAY, Paper.BANNER_HELD), "not dim reverse"),
        Paper.BANNER_ALERT: "bold not dim reverse",
        Paper.SELECTED: "not dim reverse",
    },
)
"""For NO_COLOR (no-color.org) and terminals that have none: no colour code at all, not even grey."""
