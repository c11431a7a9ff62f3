"""How a terminal is told to change from one style to the next, in the fewest bytes.

Textual ends every run of a style with a reset and begins the next with both of its colours: some forty bytes, most of
them what the terminal knew. Here only what differs is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rich.color import Color, ColorSystem
from rich.segment import Segment
from rich.style import Style
from textual.color import Color as TextualColor
from textual.filter import LineFilter
from textual.strip import Strip

from tui.canvas.palettes import Palette

PLAIN = -1
"""In the place of a style key: the terminal's own style, after a reset."""
RESET = "\x1b[0m"
_WEIGHTS = {"", "1", "2", "1;2"}
"""Attributes that 22 ends (ECMA-48, 8.3.117 SGR: neither bold nor faint); with any other only a reset is sure."""


class Codes(NamedTuple):
    """The parameters of a style; empty for what it leaves to the terminal."""

    weight: str = ""
    ink: str = ""
    paper: str = ""


class Pen:
    """The styles of a palette on one terminal. Keys are those of the palette, see its BOLD; and PLAIN."""

    def __init__(
        self, palette: Palette, system: ColorSystem, filters: Sequence[LineFilter], ground: TextualColor
    ) -> None:
        """`filters`: what the application does to every style; `ground`: the colour that they blend with."""
        self._palette = palette
        self._system = system
        self._filters = filters
        self._ground = ground
        self._codes: dict[int, Codes] = {PLAIN: Codes()}
        self._changes: dict[tuple[int, int], str] = {}

    def change(self, before: int, after: int) -> str:
        """The sequence that turns one style into another; empty where they are the same."""
        key = before, after
        found = self._changes.get(key)
        if found is None:
            found = self._changes[key] = _change(self._of(before), self._of(after))
        return found

    def _of(self, key: int) -> Codes:
        codes = self._codes.get(key)
        if codes is None:
            codes = self._codes[key] = self._read(self._palette.keyed(key))
        return codes

    def _read(self, style: Style) -> Codes:
        for one in self._filters:
            # A filter may give a segment without a style back; it then has the terminal's own.
            style = one.apply([Segment("x", style)], self._ground)[0].style or Style.null()
        weight = Strip.render_ansi(style.without_color, self._system)
        return Codes(weight, self._colour(style.color, foreground=True), self._colour(style.bgcolor, foreground=False))

    def _colour(self, colour: Color | None, *, foreground: bool) -> str:
        return "" if colour is None else ";".join(colour.downgrade(self._system).get_ansi_codes(foreground))


def _change(before: Codes, after: Codes) -> str:
    if before == after:
        return ""
    if before.weight not in _WEIGHTS or after.weight not in _WEIGHTS:
        return f"\x1b[{';'.join(('0', *filter(None, after)))}m"
    told = []
    if before.weight != after.weight:
        told += [code for code in ("22" if before.weight else "", after.weight) if code]
    # 39 and 49: the terminal's own colours (ECMA-48, 8.3.117).
    told += [new or own for old, new, own in zip(before[1:], after[1:], ("39", "49"), strict=True) if old != new]
    return f"\x1b[{';'.join(told)}m"
