"""The themes of the board for Textual, out of the same tables as the palettes of the drawing.

Textual blends shades of its own from a theme's colours: lighter, muted, automatic contrast. None of those need be
legible or, at night, red; so what widgets read, press and choose is named here, and at night every shade is.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from textual.color import Color
from textual.theme import Theme

from tui.canvas.colours import Scheme
from tui.canvas.inks import Ink, Paper
from tui.canvas.palettes import THEMES, Depth, scheme_for

PREFIX = "fixboard-"
"""What the themes' names begin with in Textual's list, to keep clear of its own."""

_INK_VARIABLES = {
    "foreground": Ink.TEXT,
    "text": Ink.TEXT,
    "text-muted": Ink.MUTED,
    "text-disabled": Ink.MUTED,
    "foreground-muted": Ink.MUTED,
    "foreground-disabled": Ink.MUTED,
    "text-primary": Ink.ACCENT,
    "text-accent": Ink.ACCENT,
    "text-success": Ink.GOOD,
    "text-warning": Ink.WARN,
    "text-error": Ink.ALERT,
    "block-cursor-foreground": Ink.TEXT,
    "block-cursor-blurred-foreground": Ink.TEXT,
    "border": Ink.ACCENT,
    "border-blurred": Ink.FAINT,
    "footer-foreground": Ink.MUTED,
    "footer-description-foreground": Ink.MUTED,
    "footer-key-foreground": Ink.ACCENT,
    "input-cursor-background": Ink.TEXT,
    "input-selection-foreground": Ink.TEXT,
    "scrollbar": Ink.FAINT,
    "scrollbar-hover": Ink.MUTED,
    "scrollbar-active": Ink.ACCENT,
    "button-foreground": Ink.TEXT,
}
_PAPER_VARIABLES = {
    "background": Paper.BASE,
    "surface": Paper.BASE,
    "panel": Paper.PANEL,
    "boost": Paper.PANEL,
    "block-cursor-background": Paper.SELECTED,
    "block-cursor-blurred-background": Paper.PANEL,
    "block-hover-background": Paper.PANEL,
    "footer-background": Paper.PANEL,
    "input-cursor-foreground": Paper.BASE,
    "input-selection-background": Paper.SELECTED,
    "screen-selection-background": Paper.SELECTED,
    "scrollbar-background": Paper.BASE,
    "scrollbar-background-hover": Paper.BASE,
    "scrollbar-background-active": Paper.BASE,
    "scrollbar-corner-color": Paper.BASE,
    "button-color-foreground": Paper.BASE,
}

GREEN_SHARE, BLUE_SHARE = 0.3, 0.25
"""At night, green and blue at most in proportion to red: see the night table."""


def theme_name(palette: str) -> str:
    """Textual's name for a theme: `fixboard-dark` for `dark`."""
    return PREFIX + palette


def palette_name(theme: str) -> str:
    """The palette that goes with a Textual theme; `dark` for a theme that is not ours."""
    name = theme.removeprefix(PREFIX)
    return name if theme.startswith(PREFIX) and name in THEMES else "dark"


def theme_for(name: str, depth: Depth) -> Theme:
    """By the name of its palette, with the colours of a depth: below 256 they are left to the terminal."""
    scheme = scheme_for(name, depth)
    if isinstance(scheme, Scheme):
        theme = _coloured(name, scheme)
        return _with_every_colour(theme, _reddened) if name == "night" else theme
    theme = _native(name)
    if depth is Depth.NONE:
        return _with_every_colour(theme, lambda value: _NAMED.sub(_DEFAULT, value))
    return _red_on_black(theme) if name == "night" else theme


def _coloured(name: str, scheme: Scheme) -> Theme:
    inks, papers = scheme.inks, scheme.papers
    return Theme(
        name=theme_name(name),
        primary=inks[Ink.ACCENT],
        secondary=inks[Ink.COURSE],
        warning=inks[Ink.WARN],
        error=inks[Ink.ALERT],
        success=inks[Ink.GOOD],
        foreground=inks[Ink.TEXT],
        background=papers[Paper.BASE],
        surface=papers[Paper.BASE],
        panel=papers[Paper.PANEL],
        dark=scheme.dark,
        variables={name: inks[ink] for name, ink in _INK_VARIABLES.items()}
        | {name: papers[paper] for name, paper in _PAPER_VARIABLES.items()},
    )


_DEFAULT = "ansi_default"
_NAMED = re.compile(r"ansi_\w+")


def _native(name: str) -> Theme:
    """Colours by the names that terminals give them, on the terminal's own ground; cursors are reversed."""
    plain = dict.fromkeys((*_INK_VARIABLES, *_PAPER_VARIABLES, "ansi-foreground", "ansi-background"), _DEFAULT)
    reverse = dict.fromkeys(("block-cursor-text-style", "input-cursor-text-style"), "reverse")
    return Theme(
        name=theme_name(name),
        primary="ansi_cyan",
        secondary="ansi_bright_blue",
        warning="ansi_yellow",
        error="ansi_red",
        success="ansi_green",
        foreground=_DEFAULT,
        background=_DEFAULT,
        surface=_DEFAULT,
        panel=_DEFAULT,
        ansi=True,
        variables=plain | {"border": "ansi_cyan"} | reverse,
    )


def _with_every_colour(theme: Theme, change: Callable[[str], str]) -> Theme:
    """The theme with a name for all that Textual would make of it, each value changed."""
    made = theme.to_color_system().generate() | theme.variables
    return replace(theme, variables={name: change(value) for name, value in made.items()})


def _reddened(value: str) -> str:
    """A CSS value with its colour turned red, not lighter than before; other values stay."""
    if not value.startswith("#"):
        return value
    colour = Color.parse(value)
    green, blue = (int(colour.r * share) for share in (GREEN_SHARE, BLUE_SHARE))
    return Color(colour.r, min(colour.g, green), min(colour.b, blue), colour.a).hex


def _red_on_black(theme: Theme) -> Theme:
    """By name, whatever the terminal's own ground is: red words on red would be none (a footer's items, for one)."""
    red = _with_every_colour(theme, lambda value: _NAMED.sub("ansi_red", value))
    behind_words = {name for name in red.variables if "background" in name} - _INK_VARIABLES.keys()
    grounds = dict.fromkeys(behind_words | _PAPER_VARIABLES.keys(), "ansi_black")
    grounds["input-cursor-text-style"] = "none"  # it has a ground of its own here: turned round it would be none
    return replace(
        red,
        background="ansi_black",
        surface="ansi_black",
        panel="ansi_black",
        foreground="ansi_red",
        variables=red.variables | grounds,
    )
