"""A grid of terminal cells that holds text, dots and background roles, and turns rows into strips.

Cells count from 0 at the upper left. A cell is 2 dots wide and 4 high, so where characters are twice as high as wide,
dots are square and shapes need no correction. Dot coordinates may be fractions: dot n covers n - 0.5 to n + 0.5.
Whatever falls outside is dropped without a word. Text wins: dots neither replace nor recolour a cell with text.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from math import ceil, cos, floor, pi, sin, sqrt
from typing import NamedTuple

from rich.segment import Segment
from textual.strip import Strip

from tui.canvas.cells import one_cell_each
from tui.canvas.glyphs import GlyphSet
from tui.canvas.inks import Ink, Paper
from tui.canvas.palettes import BOLD, Palette
from tui.canvas.row_look import RowLook

Dot = tuple[float, float]
"""x to the right, y down, in dots."""

_SOLID = 0x40
"""Beside the ink's six bits: the cell is part of a filled shape."""


class Span(NamedTuple):
    """A piece of text with its roles."""

    text: str
    ink: Ink = Ink.TEXT
    bold: bool = False
    paper: Paper | None = None
    """None leaves the paper that is there."""


class Grid:
    """Width times height cells, all blank on the base paper at first."""

    __slots__ = ("_chars", "_inks", "_masks", "_papers", "height", "width")

    def __init__(self, width: int, height: int) -> None:
        self.width = max(0, width)
        self.height = max(0, height)
        cells = self.width * self.height
        self._masks = bytearray(cells)
        self._inks = bytearray(cells)
        self._papers = bytearray(cells)
        # An empty string is a cell without text, so that joining a row is cheap and tells text from dots.
        self._chars = [""] * cells

    @property
    def dots_wide(self) -> int:
        """Twice the width."""
        return self.width * 2

    @property
    def dots_high(self) -> int:
        """Four times the height."""
        return self.height * 4

    def copy_from(self, base: Grid) -> None:
        """Start from another grid's content: a background drawn once.

        Raises:
            ValueError: the other grid has another size.
        """
        if (base.width, base.height) != (self.width, self.height):
            raise ValueError(f"a {base.width}x{base.height} background does not fit {self.width}x{self.height} cells")
        self._masks[:] = base._masks
        self._inks[:] = base._inks
        self._papers[:] = base._papers
        self._chars[:] = base._chars

    def copy_row(self, y: int, base: Grid) -> None:
        """Take over one row of a grid of the same size."""
        cells = slice(y * self.width, (y + 1) * self.width)
        self._masks[cells] = base._masks[cells]
        self._inks[cells] = base._inks[cells]
        self._papers[cells] = base._papers[cells]
        self._chars[cells] = base._chars[cells]

    def below(self, head: Grid) -> Grid:
        """A grid with another's rows, which must be as wide, on top of this one's."""
        both = Grid(self.width, head.height + self.height)
        both._masks[:] = head._masks + self._masks
        both._inks[:] = head._inks + self._inks
        both._papers[:] = head._papers + self._papers
        both._chars[:] = head._chars + self._chars
        return both

    def paste(self, inner: Grid, at: tuple[int, int]) -> None:
        """Lay a smaller grid on this one, its upper left corner in a cell; what it covers is gone."""
        left, right = max(0, at[0]), min(self.width, at[0] + inner.width)
        for y in range(max(0, at[1]), min(self.height, at[1] + inner.height)):
            if left < right:
                start = (y - at[1]) * inner.width - at[0]
                here, there = slice(y * self.width + left, y * self.width + right), slice(start + left, start + right)
                self._masks[here] = inner._masks[there]
                self._inks[here] = inner._inks[there]
                self._papers[here] = inner._papers[there]
                self._chars[here] = inner._chars[there]

    # Text and paper

    def text(self, x: int, y: int, text: str, ink: Ink = Ink.TEXT) -> int:
        """Write plain text, see `put`."""
        return self.put(x, y, Span(text, ink))

    def put(self, x: int, y: int, span: Span) -> int:
        """Write a span at a cell, one cell a character, and return the column after it, clipped or not."""
        chars = one_cell_each(span.text)
        end = x + len(chars)
        left, right = max(0, x), min(self.width, end)
        if left < right and 0 <= y < self.height:
            self._write(y * self.width + left, chars[left - x : right - x], span)
        return end

    def _write(self, at: int, chars: str, span: Span) -> None:
        count = len(chars)
        cells = slice(at, at + count)
        self._chars[cells] = chars
        self._inks[cells] = bytes((span.ink | BOLD if span.bold else span.ink,)) * count
        if span.paper is not None:
            self._papers[cells] = bytes((span.paper,)) * count

    def meets(self, other: Grid) -> bool:
        """Whether text of a grid of the same size would lie on text of this one, a written blank included."""
        return any(mine and theirs for mine, theirs in zip(self._chars, other._chars, strict=True))

    def paper(self, x: int, y: int, width: int, paper: Paper) -> None:
        """Lay a paper under `width` cells of one row."""
        left, right = max(0, x), min(self.width, x + width)
        if left < right and 0 <= y < self.height:
            self._papers[y * self.width + left : y * self.width + right] = bytes((paper,)) * (right - left)

    def disc(self, centre: Dot, radius: float, paper: Paper) -> None:
        """Lay a paper under every cell whose middle lies within `radius` dots of the centre."""
        for y in range(self.height):
            across = radius * radius - (4 * y + 1.5 - centre[1]) ** 2
            if across >= 0:
                # The middle of cell x lies between its two dots, at 2x + 0.5.
                left = ceil((centre[0] - sqrt(across) - 0.5) / 2)
                right = floor((centre[0] + sqrt(across) - 0.5) / 2)
                self.paper(left, y, right - left + 1, paper)

    # Dots

    def dot(self, x: float, y: float, ink: Ink) -> None:
        """Set one dot, unless its cell holds text."""
        self.dots(((x, y),), ink)

    def dots(self, points: Iterable[Dot], ink: Ink) -> None:
        """Set some. The loop that a frame of a drawing spends most of its time in, so nothing in it is looked up."""
        width, wide, high = self.width, self.width * 2, self.height * 4
        chars, inks, masks, value = self._chars, self._inks, self._masks, int(ink)
        for x, y in points:
            column, row = floor(x + 0.5), floor(y + 0.5)
            if 0 <= column < wide and 0 <= row < high:
                cell = (row >> 2) * width + (column >> 1)
                # A filled shape hides the lines below it and is not frayed by those drawn later.
                if not chars[cell] and not inks[cell] & _SOLID:
                    masks[cell] |= 1 << ((row & 3) * 2 + (column & 1))
                    inks[cell] = value

    def stamp(self, x: int, y: int, mask: int, ink: Ink) -> None:
        """Replace the dots of a whole cell (bit = 2 * row + column), unless the cell holds text."""
        cell = y * self.width + x
        if 0 <= x < self.width and 0 <= y < self.height and not self._chars[cell]:
            self._masks[cell] = mask
            self._inks[cell] = ink

    def line(self, start: Dot, end: Dot, ink: Ink, step: int = 1) -> None:
        """Dots from start to end, every `step`-th of them."""
        dx, dy = end[0] - start[0], end[1] - start[1]
        count = max(1, round(max(abs(dx), abs(dy))))
        self.dots([(start[0] + dx * n / count, start[1] + dy * n / count) for n in range(0, count + 1, step)], ink)

    def circle(self, centre: Dot, radius: float, ink: Ink, step: int = 1) -> None:
        """A ring one dot thick; with a step, dots about `step` dots apart."""
        self.dots(_ring(centre, radius) if step == 1 else _dotted_ring(centre, radius, step), ink)

    def polygon(self, points: Sequence[Dot], ink: Ink) -> None:
        """Fill a shape (even-odd rule) and mark its cells as solid."""
        self._scan(points, ink)

    def hollow(self, points: Sequence[Dot], ink: Ink) -> None:
        """Outline a shape and clear the lines inside it."""
        self._scan(points, None)
        for start, end in zip(points, (*points[1:], points[0]), strict=True):
            self.line(start, end, ink)

    def _scan(self, points: Sequence[Dot], ink: Ink | None) -> None:
        top = max(0, ceil(min(y for _, y in points)))
        bottom = min(self.height * 4 - 1, floor(max(y for _, y in points)))
        sides = list(zip(points, (*points[1:], points[0]), strict=True))
        for y in range(top, bottom + 1):
            edges = _crossings(sides, y)
            for left, right in zip(edges[::2], edges[1::2], strict=True):
                self._fill(y, range(max(0, ceil(left)), min(self.width * 2 - 1, floor(right)) + 1), ink)

    def _fill(self, y: int, columns: range, ink: Ink | None) -> None:
        row, at = 1 << (y & 3) * 2, (y >> 2) * self.width
        chars, inks, masks = self._chars, self._inks, self._masks
        if ink is None:
            for x in columns:
                masks[at + (x >> 1)] &= ~(row << (x & 1))
            return
        solid = int(ink) | _SOLID
        for x in columns:
            cell = at + (x >> 1)
            if not chars[cell]:
                kept = masks[cell] if inks[cell] & _SOLID else 0
                masks[cell] = kept | row << (x & 1)
                inks[cell] = solid

    # Rows

    def changed_rows(self, before: Grid) -> list[int]:
        """Rows that look different from those of a grid of the same size under some palette and glyph set."""
        if (
            self._masks == before._masks
            and self._inks == before._inks
            and self._papers == before._papers
            and self._chars == before._chars
        ):
            return []
        rows = [slice(at, at + self.width) for at in range(0, self.width * self.height, max(1, self.width))]
        return [
            y
            for y, cells in enumerate(rows)
            if self._masks[cells] != before._masks[cells]
            or self._inks[cells] != before._inks[cells]
            or self._papers[cells] != before._papers[cells]
            or self._chars[cells] != before._chars[cells]
        ]

    def look(self, y: int, glyphs: GlyphSet) -> RowLook:
        """A row as it can be seen."""
        cells = slice(y * self.width, (y + 1) * self.width)
        return RowLook(self.row_text(y, glyphs), bytes(self._inks[cells]), bytes(self._papers[cells]))

    def row_key(self, y: int) -> Hashable:
        """Equal for two rows exactly when they look the same under any palette and glyph set."""
        cells = slice(y * self.width, (y + 1) * self.width)
        return (
            bytes(self._masks[cells]),
            bytes(self._inks[cells]),
            bytes(self._papers[cells]),
            "\0".join(self._chars[cells]),
        )

    def row_text(self, y: int, glyphs: GlyphSet) -> str:
        """The characters of a row."""
        cells = slice(y * self.width, (y + 1) * self.width)
        lines, fills = glyphs.lines, glyphs.fills
        rows = zip(self._chars[cells], self._masks[cells], self._inks[cells], strict=True)
        return "".join([char or (fills if ink & _SOLID else lines)[mask] for char, mask, ink in rows])

    def strip(self, y: int, palette: Palette, glyphs: GlyphSet) -> Strip:
        """A row as the terminal gets it, neighbours of equal style joined; a blank takes the style that is there."""
        runs = self.look(y, glyphs).runs(0, self.width)
        return Strip([Segment(text, palette.keyed(key)) for text, key in runs], self.width)


def _ring(centre: Dot, radius: float) -> Iterable[Dot]:
    """Column by column where the ring is flat, row by row where it is steep: no gaps, no clots, all quarters alike."""
    cx, cy = centre
    reach = radius * sqrt(0.5)
    for x in range(ceil(cx - reach), floor(cx + reach) + 1):
        rise = sqrt(radius * radius - (x - cx) ** 2)
        yield from ((x, cy - rise), (x, cy + rise))
    for y in range(ceil(cy - reach), floor(cy + reach) + 1):
        run = sqrt(radius * radius - (y - cy) ** 2)
        yield from ((cx - run, y), (cx + run, y))


def _dotted_ring(centre: Dot, radius: float, step: int) -> Iterable[Dot]:
    count = 4 * max(1, round(2 * pi * radius / step / 4))
    turn = 2 * pi / count
    return (polar(centre, radius, (n + 0.5) * turn) for n in range(count))


def _crossings(sides: Iterable[tuple[Dot, Dot]], y: float) -> list[float]:
    """Where a level line meets the sides, from left to right; always an even number."""
    found = [x0 + (y - y0) * (x1 - x0) / (y1 - y0) for (x0, y0), (x1, y1) in sides if (y0 <= y) != (y1 <= y)]
    found.sort()
    return found


def polar(centre: Dot, radius: float, angle: float) -> Dot:
    """The dot at a radius and an angle in radians, clockwise from straight up."""
    return centre[0] + radius * sin(angle), centre[1] - radius * cos(angle)
