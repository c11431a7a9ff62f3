"""A QR code as large as its place allows, dark on light whatever the theme.

A phone reads dark modules on light ones; most themes' own colours it may not. So this is the one drawing that brings
its own two colours: black and white by value, by name where there are sixteen, and where there are none the terminal's
own, light letters on dark.

At night a page of white would cost the eyes the dark that they are used to, so there the light modules are red and
dim. What a camera has of that is its brightness, of which red is 0.299 (ITU-R BT.601, from memory): about a fifth of
white's. Another library reads the code so (tests/tui/test_qr.py); no phone has been tried, and the screen says what to
do where one does not.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from itertools import groupby
from typing import ClassVar, NamedTuple

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Size
from textual.strip import Strip
from textual.widget import Widget

from core.qr import Modules, qr_modules
from tui.canvas.palettes import Depth
from tui.themes import palette_name

NIGHT = "night"
"""The theme under which white would be too much."""
BLOCKS = "▀▄█"
_HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
"""By the ink in the upper and the lower half of a cell."""
_COLOURS = {
    Depth.TRUECOLOR: ("#000000", "#ffffff"),
    Depth.COLOURS_256: ("#000000", "#ffffff"),
    Depth.COLOURS_16: ("black", "bright_white"),
}
_AT_NIGHT = {
    Depth.TRUECOLOR: ("#000000", "#a80000"),
    Depth.COLOURS_256: ("#000000", "#af0000"),
    Depth.COLOURS_16: ("black", "red"),
}
Cell = tuple[str, Style]


class Halves(Enum):
    """Whether the terminal shows half blocks."""

    YES = "yes"
    UNSURE = "unsure"
    """Its font may have none: blanks on colours alone where they fit."""
    NO = "no"
    """It cannot even be sent one: what would stand for it, nothing could read."""


class QrLook(NamedTuple):
    """What the terminal can show, and what it should."""

    halves: Halves
    depth: Depth
    is_dim: bool = False
    """For the night, where there are colours for that."""


class QrDrawing:
    """One code for a room of cells: two modules in the height of a cell, or without block characters one."""

    def __init__(self, modules: Modules, room: Size, look: QrLook) -> None:
        """At most as large as the room."""
        halves, self._depth, is_dim = look
        self._modules = modules
        side = len(modules)
        whole = min(room.width // (2 * side), room.height // side)
        split = 0 if halves is Halves.NO else min(room.width // side, 2 * room.height // side)
        self.is_whole = halves is not Halves.YES and whole > 0
        """Whether it is drawn without block characters."""
        self._scale = whole if self.is_whole else split
        self.is_dim = is_dim and self._depth in _AT_NIGHT
        """Whether it is drawn in red."""

    @property
    def fits(self) -> bool:
        """Whether there is room for it at all."""
        return self._scale > 0

    @property
    def size(self) -> Size:
        """In cells, nothing where it does not fit."""
        side = len(self._modules) * self._scale
        return Size(2 * side, side) if self.is_whole else Size(side, (side + 1) // 2)

    def row(self, y: int) -> Strip:
        """One row of cells, blank outside the code."""
        if not 0 <= y < self.size.height:
            return Strip([])
        cells = self._whole_cells(y) if self.is_whole else self._half_cells(y)
        runs = groupby(cells, key=lambda cell: cell[1])
        return Strip([Segment("".join(char for char, _ in run), style) for style, run in runs], self.size.width)

    def _dark(self, x: int, y: int) -> bool:
        """A pixel, as many of them to a module each way as the scale says; below the last row it is light."""
        row = y // self._scale
        return row < len(self._modules) and self._modules[row][x // self._scale]

    def _half_cells(self, y: int) -> Iterator[Cell]:
        for x in range(self.size.width):
            upper, lower = self._dark(x, 2 * y), self._dark(x, 2 * y + 1)
            if self._depth is Depth.NONE:
                yield _HALVES[not upper, not lower], Style.null()
            elif upper and lower:
                yield " ", self._paper(is_dark=True)
            else:
                yield _HALVES[upper, lower], self._paper(is_dark=False)

    def _whole_cells(self, y: int) -> Iterator[Cell]:
        for x in range(0, self.size.width, 2):
            yield "  ", self._paper(is_dark=self._dark(x // 2, y))

    def _paper(self, *, is_dark: bool) -> Style:
        if self._depth is Depth.NONE:
            return Style.null() if is_dark else Style(reverse=True)
        dark, light = (_AT_NIGHT if self.is_dim else _COLOURS)[self._depth]
        return Style(color=light, bgcolor=dark) if is_dark else Style(color=dark, bgcolor=light)


class QrCode(Widget):
    """The code of `text`, at the upper left; nothing for an empty text."""

    DEFAULT_CSS = "QrCode { width: auto; height: 1fr; background: $background; }"
    ALLOW_SELECT: ClassVar[bool] = False

    def __init__(self, depth: Depth, halves: Halves) -> None:
        """Both of the terminal."""
        super().__init__(id="qr-code")
        self._depth = depth
        self.halves = halves
        """Of the terminal."""
        self._text = ""
        self._room = Size(0, 0)
        self._is_dim = False
        self._drawing: QrDrawing | None = None

    @property
    def drawing(self) -> QrDrawing | None:
        """What is drawn; None for nothing, or where there is no room."""
        return self._drawing

    def show(self, text: str, room: Size) -> None:
        """Draw this text in at most so many cells; anew only where either is new."""
        is_dim = palette_name(self.app.theme) == NIGHT
        if (text, room, is_dim) == (self._text, self._room, self._is_dim):
            return
        self._text, self._room, self._is_dim = text, room, is_dim
        drawing = self._drawn(qr_modules(text)) if text else None
        self._drawing = drawing if drawing and drawing.fits else None
        self.refresh(layout=True)

    def _drawn(self, modules: Modules) -> QrDrawing:
        return QrDrawing(modules, self._room, QrLook(self.halves, self._depth, self._is_dim))

    def get_content_width(self, container: Size, viewport: Size) -> int:
        """As wide as the code."""
        return self._drawing.size.width if self._drawing else 0

    def render_line(self, y: int) -> Strip:
        """A row of the code, then nothing."""
        strip = self._drawing.row(y) if self._drawing else Strip([])
        return strip.adjust_cell_length(self.size.width, self.rich_style)
