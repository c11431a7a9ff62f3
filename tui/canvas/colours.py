"""The colours behind the roles: one table for each theme and colour depth.

All values are ours, chosen by eye and held to account by the tests: text at least 4.5:1 on every paper it may lie on
(WCAG 2.1, success criterion 1.4.3), night in red alone, the 256-colour values such that no terminal has to round them.
"""

from __future__ import annotations

from typing import NamedTuple

from tui.canvas.inks import Ink, Paper


class Scheme(NamedTuple):
    """Colours as `#rrggbb`. Pills 1 to 5 are not listed: their paper is the ink of the same signal step."""

    inks: dict[Ink, str]
    papers: dict[Paper, str]
    dark: bool = True


class Wording(NamedTuple):
    """Styles for terminals that bring their own colours or none, in Rich's words."""

    inks: dict[Ink, str]
    papers: dict[Paper, str]
    dark: bool = True


DARK = Scheme(
    {
        Ink.TEXT: "#e2e8f0",
        Ink.MUTED: "#8e9bb0",
        Ink.FAINT: "#55647a",
        Ink.TITLE: "#b7c4d8",
        Ink.NORTH: "#ffd479",
        Ink.COURSE: "#6cc7ff",
        Ink.COURSE_UNSURE: "#93a0b4",
        Ink.HEADING: "#c9b1ff",
        Ink.TARGET: "#ff8fc0",
        Ink.SIGNAL_0: "#7f8a9c",
        Ink.SIGNAL_1: "#649888",
        Ink.SIGNAL_2: "#68ab90",
        Ink.SIGNAL_3: "#73c6a2",
        Ink.SIGNAL_4: "#8fe0bc",
        Ink.SIGNAL_5: "#c4fbe0",
        Ink.PILL: "#08110f",
        Ink.BANNER: "#0b1018",
        Ink.STALE: "#8893a3",
        Ink.GOOD: "#7ddca4",
        Ink.WARN: "#ffb96b",
        Ink.ALERT: "#ff7a7a",
        Ink.ACCENT: "#9cc9ff",
        Ink.TRAIL: "#d9c08a",
    },
    {
        Paper.BASE: "#0b1018",
        Paper.PANEL: "#141c28",
        Paper.ZONE_LOW: "#0e141e",
        Paper.ZONE_MID: "#121a26",
        Paper.ZONE_HIGH: "#18212f",
        Paper.PILL_0: "#8893a3",
        Paper.BANNER_LIVE: "#7ddca4",
        Paper.BANNER_REPLAY: "#6cc7ff",
        Paper.BANNER_HELD: "#ffd479",
        Paper.BANNER_ALERT: "#ff7a7a",
        Paper.SELECTED: "#1e2c42",
    },
)

DAYLIGHT = Scheme(
    {
        Ink.TEXT: "#0a0f18",
        Ink.MUTED: "#465163",
        Ink.FAINT: "#8a96a6",
        Ink.TITLE: "#22304a",
        Ink.NORTH: "#8f3300",
        Ink.COURSE: "#00509e",
        Ink.COURSE_UNSURE: "#566174",
        Ink.HEADING: "#5b2ca0",
        Ink.TARGET: "#a3004f",
        Ink.SIGNAL_0: "#5d6878",
        Ink.SIGNAL_1: "#2e7357",
        Ink.SIGNAL_2: "#1f654a",
        Ink.SIGNAL_3: "#12563c",
        Ink.SIGNAL_4: "#08452e",
        Ink.SIGNAL_5: "#00301e",
        Ink.PILL: "#ffffff",
        Ink.BANNER: "#ffffff",
        Ink.STALE: "#5d6878",
        Ink.GOOD: "#0b6238",
        Ink.WARN: "#7f4700",
        Ink.ALERT: "#ad0f1d",
        Ink.ACCENT: "#0b4f96",
        Ink.TRAIL: "#6a4b00",
    },
    {
        Paper.BASE: "#ffffff",
        Paper.PANEL: "#e8edf4",
        Paper.ZONE_LOW: "#f7f9fc",
        Paper.ZONE_MID: "#eff3f8",
        Paper.ZONE_HIGH: "#e6ecf4",
        Paper.PILL_0: "#5d6878",
        Paper.BANNER_LIVE: "#0b6238",
        Paper.BANNER_REPLAY: "#00509e",
        Paper.BANNER_HELD: "#7f4700",
        Paper.BANNER_ALERT: "#ad0f1d",
        Paper.SELECTED: "#c6d8ee",
    },
    dark=False,
)

# Red alone keeps the eye's adaptation to the dark: rods hardly respond above 640 nm (CIE 1951 scotopic curve, from
# memory). Green stays at or below three tenths of red and blue at or below a quarter. Pure red cannot pass 5.3:1 on
# black (WCAG's formula), so the roles differ less here and lean on weight, shape and place; 3:1 is what WCAG asks of
# large text, and more light is what the theme is there to avoid.
NIGHT = Scheme(
    {
        Ink.TEXT: "#ff4a38",
        Ink.MUTED: "#c02a1c",
        Ink.FAINT: "#851d12",
        Ink.TITLE: "#e03a2a",
        Ink.NORTH: "#ff4c3f",
        Ink.COURSE: "#ff4632",
        Ink.COURSE_UNSURE: "#c02a1c",
        Ink.HEADING: "#ea3c28",
        Ink.TARGET: "#ff4c3f",
        Ink.SIGNAL_0: "#ba261a",
        Ink.SIGNAL_1: "#be2a1c",
        Ink.SIGNAL_2: "#ce3022",
        Ink.SIGNAL_3: "#de3828",
        Ink.SIGNAL_4: "#f04230",
        Ink.SIGNAL_5: "#ff4c3f",
        Ink.PILL: "#0a0100",
        Ink.BANNER: "#0a0100",
        Ink.STALE: "#ba261a",
        Ink.GOOD: "#ff4a38",
        Ink.WARN: "#ff4a38",
        Ink.ALERT: "#ff4c3f",
        Ink.ACCENT: "#f04230",
        Ink.TRAIL: "#c02a1c",
    },
    {
        Paper.BASE: "#0a0100",
        Paper.PANEL: "#1a0402",
        Paper.ZONE_LOW: "#0e0200",
        Paper.ZONE_MID: "#140301",
        Paper.ZONE_HIGH: "#1a0401",
        Paper.PILL_0: "#ba261a",
        Paper.BANNER_LIVE: "#d63426",
        Paper.BANNER_REPLAY: "#d63426",
        Paper.BANNER_HELD: "#d63426",
        Paper.BANNER_ALERT: "#ff4c3f",
        Paper.SELECTED: "#300a05",
    },
)

# 256 colours: values of the xterm palette (levels 00 5f 87 af d7 ff, greys 08 to ee by 0a) that Rich maps to
# themselves: it moves light greys by a step, so there are none. No tints: the palette has none between its darkest
# steps, and rounding made strong blue of one.
DARK_256 = Scheme(
    {
        Ink.TEXT: "#ffffff",
        Ink.MUTED: "#949494",
        Ink.FAINT: "#626262",
        Ink.TITLE: "#afd7ff",
        Ink.NORTH: "#ffd75f",
        Ink.COURSE: "#5fd7ff",
        Ink.COURSE_UNSURE: "#949494",
        Ink.HEADING: "#d7afff",
        Ink.TARGET: "#ff87d7",
        Ink.SIGNAL_0: "#949494",
        Ink.SIGNAL_1: "#5f8787",
        Ink.SIGNAL_2: "#5faf87",
        Ink.SIGNAL_3: "#5fd7af",
        Ink.SIGNAL_4: "#87ffd7",
        Ink.SIGNAL_5: "#d7ffff",
        Ink.PILL: "#000000",
        Ink.BANNER: "#000000",
        Ink.STALE: "#949494",
        Ink.GOOD: "#87d787",
        Ink.WARN: "#ffaf5f",
        Ink.ALERT: "#ff8787",
        Ink.ACCENT: "#87d7ff",
        Ink.TRAIL: "#d7af5f",
    },
    {
        Paper.BASE: "#121212",
        Paper.PANEL: "#1c1c1c",
        Paper.ZONE_LOW: "#121212",
        Paper.ZONE_MID: "#121212",
        Paper.ZONE_HIGH: "#121212",
        Paper.PILL_0: "#949494",
        Paper.BANNER_LIVE: "#87d787",
        Paper.BANNER_REPLAY: "#5fd7ff",
        Paper.BANNER_HELD: "#ffd75f",
        Paper.BANNER_ALERT: "#ff8787",
        Paper.SELECTED: "#262626",
    },
)

DAYLIGHT_256 = Scheme(
    {
        Ink.TEXT: "#000000",
        Ink.MUTED: "#444444",
        Ink.FAINT: "#8a8a8a",
        Ink.TITLE: "#005f87",
        Ink.NORTH: "#870000",
        Ink.COURSE: "#005faf",
        Ink.COURSE_UNSURE: "#585858",
        Ink.HEADING: "#5f00af",
        Ink.TARGET: "#af005f",
        Ink.SIGNAL_0: "#626262",
        Ink.SIGNAL_1: "#00875f",
        Ink.SIGNAL_2: "#00875f",
        Ink.SIGNAL_3: "#005f5f",
        Ink.SIGNAL_4: "#005f5f",
        Ink.SIGNAL_5: "#000000",
        Ink.PILL: "#ffffff",
        Ink.BANNER: "#ffffff",
        Ink.STALE: "#626262",
        Ink.GOOD: "#005f00",
        Ink.WARN: "#875f00",
        Ink.ALERT: "#af0000",
        Ink.ACCENT: "#005faf",
        Ink.TRAIL: "#5f5f00",
    },
    {
        Paper.BASE: "#ffffff",
        Paper.PANEL: "#ffffff",
        Paper.ZONE_LOW: "#ffffff",
        Paper.ZONE_MID: "#ffffff",
        Paper.ZONE_HIGH: "#ffffff",
        Paper.PILL_0: "#626262",
        Paper.BANNER_LIVE: "#005f00",
        Paper.BANNER_REPLAY: "#005faf",
        Paper.BANNER_HELD: "#875f00",
        Paper.BANNER_ALERT: "#af0000",
        Paper.SELECTED: "#afffff",
    },
    dark=False,
)

NIGHT_256 = Scheme(
    {
        Ink.TEXT: "#ff0000",
        Ink.MUTED: "#d70000",
        Ink.FAINT: "#870000",
        Ink.TITLE: "#d70000",
        Ink.NORTH: "#ff0000",
        Ink.COURSE: "#ff0000",
        Ink.COURSE_UNSURE: "#d70000",
        Ink.HEADING: "#ff0000",
        Ink.TARGET: "#ff0000",
        Ink.SIGNAL_0: "#d70000",
        Ink.SIGNAL_1: "#d70000",
        Ink.SIGNAL_2: "#d70000",
        Ink.SIGNAL_3: "#ff0000",
        Ink.SIGNAL_4: "#ff0000",
        Ink.SIGNAL_5: "#ff0000",
        Ink.PILL: "#000000",
        Ink.BANNER: "#000000",
        Ink.STALE: "#d70000",
        Ink.GOOD: "#ff0000",
        Ink.WARN: "#ff0000",
        Ink.ALERT: "#ff0000",
        Ink.ACCENT: "#ff0000",
        Ink.TRAIL: "#d70000",
    },
    {
        Paper.BASE: "#000000",
        Paper.PANEL: "#000000",
        Paper.ZONE_LOW: "#000000",
        Paper.ZONE_MID: "#000000",
        Paper.ZONE_HIGH: "#000000",
        Paper.PILL_0: "#d70000",
        Paper.BANNER_LIVE: "#d70000",
        Paper.BANNER_REPLAY: "#d70000",
        Paper.BANNER_HELD: "#d70000",
        Paper.BANNER_ALERT: "#ff0000",
        Paper.SELECTED: "#5f0000",
    },
)
