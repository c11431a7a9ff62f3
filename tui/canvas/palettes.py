"""From roles to terminal styles, for a theme at a colour depth."""

from __future__ import annotations

from enum import IntEnum
from functools import cache

from rich.style import Style

from tui.canvas.colours import DARK, DARK_256, DAYLIGHT, DAYLIGHT_256, NIGHT, NIGHT_256, Scheme, Wording
from tui.canvas.inks import PILL_PAPERS, SIGNAL_INKS, Ink, Paper
from tui.canvas.wordings import COLOURLESS, SIXTEEN, SIXTEEN_NIGHT

BOLD = 0x80
"""Beside an ink in a style key; a key is ink | BOLD | paper << 8."""


class Depth(IntEnum):
    """How many colours the terminal can show."""

    NONE = 0
    COLOURS_16 = 4
    COLOURS_256 = 8
    TRUECOLOR = 24


# Rich's names for what it found (rich.console.COLOR_SYSTEMS); "windows" is the sixteen of the old console.
_DEPTHS = {
    "truecolor": Depth.TRUECOLOR,
    "256": Depth.COLOURS_256,
    "standard": Depth.COLOURS_16,
    "windows": Depth.COLOURS_16,
}

THEMES = ("dark", "daylight", "night", "ansi")
"""Every theme that `palette_for` knows; ansi leaves all colours to the terminal, at any depth."""

_SCHEMES = {
    ("dark", Depth.TRUECOLOR): DARK,
    ("daylight", Depth.TRUECOLOR): DAYLIGHT,
    ("night", Depth.TRUECOLOR): NIGHT,
    ("dark", Depth.COLOURS_256): DARK_256,
    ("daylight", Depth.COLOURS_256): DAYLIGHT_256,
    ("night", Depth.COLOURS_256): NIGHT_256,
}


def depth_of(color_system: str | None, *, no_color: bool = False) -> Depth:
    """The depth behind Rich's name for a console's colour system; `no_color` is whether NO_COLOR is set."""
    return Depth.NONE if no_color or color_system is None else _DEPTHS.get(color_system, Depth.COLOURS_16)


def scheme_for(theme: str, depth: Depth) -> Scheme | Wording:
    """The table of a theme at a depth.

    Raises:
        KeyError: no theme has that name; THEMES lists them.
    """
    if theme not in THEMES:
        raise KeyError(theme)
    if depth is Depth.NONE:
        return COLOURLESS
    plain = SIXTEEN_NIGHT if theme == "night" else SIXTEEN
    return _SCHEMES.get((theme, depth), plain)


class Palette:
    """The styles of one table, each made once."""

    def __init__(self, name: str, depth: Depth, scheme: Scheme | Wording) -> None:
        self.name = name
        self.depth = depth
        self._inks, self._papers = _parsed(scheme)
        self._made: dict[int, Style] = {}

    def style(self, ink: Ink, paper: Paper = Paper.BASE, *, bold: bool = False) -> Style:
        """How to show a role on a paper."""
        return self.keyed(ink | (BOLD if bold else 0) | paper << 8)

    def keyed(self, key: int) -> Style:
        """The same by key, see BOLD: what the grid asks for each run of each row."""
        style = self._made.get(key)
        if style is None:
            style = self._made[key] = self._make(key)
        return style

    def _make(self, key: int) -> Style:
        ink = self._inks[Ink(key & 0x3F)]
        weight = Style(bold=True) if key & BOLD else Style.null()
        return ink + weight + self._papers[Paper(key >> 8)]


def _parsed(scheme: Scheme | Wording) -> tuple[dict[Ink, Style], dict[Paper, Style]]:
    papers = scheme.papers
    if isinstance(scheme, Scheme):
        pills = {paper: scheme.inks[ink] for paper, ink in zip(PILL_PAPERS[1:], SIGNAL_INKS[1:], strict=True)}
        papers = {paper: f"on {colour}" for paper, colour in (scheme.papers | pills).items()}
    return (
        {ink: Style.parse(text) for ink, text in scheme.inks.items()},
        {paper: Style.parse(text) for paper, text in papers.items()},
    )


@cache
def palette_for(theme: str, depth: Depth) -> Palette:
    """The palette of a theme (dark, daylight, night, ansi) at a depth, always the same object.

    Raises:
        KeyError: no theme has that name.
    """
    return Palette(theme, depth, scheme_for(theme, depth))
