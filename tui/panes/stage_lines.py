"""Lines of large letters in a box: as large as they go, all of them, so that the last row of a room reads them.

A line is a main one, which the page is about, or a side one. All lines of a sort have one size: letters that change
their size from line to line are read as weight, and jump as figures change.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from textwrap import wrap
from typing import NamedTuple

from tui.canvas.cells import fitted
from tui.canvas.grid import Grid, Span
from tui.canvas.letters import SCALES, TEXT, Scale, lettered, put_letters, span_of


class Box(NamedTuple):
    """Cells of a grid."""

    x: int
    y: int
    width: int
    height: int


class Line(NamedTuple):
    """What one line says."""

    spans: tuple[Span, ...]
    is_main: bool = False
    wraps: bool = False
    """Whether it may be broken into several rows of letters: words may, figures may not. All in its first ink."""
    widest: str = ""
    """A text that it must leave room for, so that a figure that grows by a digit does not change every size."""

    @property
    def text(self) -> str:
        """All of it, plain."""
        return "".join(span.text for span in self.spans)


class _Set(NamedTuple):
    """Lines at two sizes: broken, with what they take."""

    rows: tuple[tuple[Line, Scale], ...]
    width: int
    height: int


_MOST_BROKEN = 4
"""Rows of letters that a line may be broken into; a sentence longer than that is read from paper, not from afar."""
_WORTH = 2
"""The place from the end of SCALES (TEXT is 0) up to which the side lines grow before the main ones do: letters."""


def line(text: str, *spans: Span, is_main: bool = False, wraps: bool = False) -> Line:
    """A line that begins with plain text."""
    return Line((Span(text), *spans) if text else spans, is_main=is_main, wraps=wraps)


def put_lines(grid: Grid, box: Box, lines: Sequence[Line], *, fine: bool = True) -> None:
    """Write all lines in the middle of a box's height, at its left; in a box too small for letters as bold text.

    `fine`: whether half cells can be shown; plain characters cannot, so that narrow letters are left out.
    """
    if box.width < 1 or box.height < 1 or not lines:
        return
    chosen = _chosen(tuple(lines), (box.width, box.height), fine=fine)
    y = box.y + max(0, (box.height - chosen.height) // 2)
    for (one, scale), lead in zip(chosen.rows, _leads(chosen.rows), strict=True):
        y += lead
        if y + span_of("", scale)[1] > box.y + box.height:
            return
        _put(grid, (box.x, y), box.width, (one, scale))
        y += span_of("", scale)[1]


def _put(grid: Grid, at: tuple[int, int], width: int, row: tuple[Line, Scale]) -> None:
    """Letters were chosen to fit; text is cut, and marked as cut."""
    one, scale = row
    x, end = at[0], at[0] + width
    for span in one.spans:
        shown = span._replace(text=fitted(span.text, max(0, end - x))) if scale == TEXT else span
        x = put_letters(grid, (x, at[1]), shown, scale) + _gap(scale)


def _gap(scale: Scale) -> int:
    """Between two spans of a line, as between two letters."""
    return scale.wide // 2 if scale.wide > 1 else scale.wide


@lru_cache(maxsize=64)
def _chosen(lines: tuple[Line, ...], room: tuple[int, int], *, fine: bool) -> _Set:
    """The best set that fits; bold text where none does."""
    offered = [scale for scale in SCALES if fine or scale.wide % 2 == 0]
    levels = {scale: len(SCALES) - 1 - SCALES.index(scale) for scale in offered}
    best, merit = _set(lines, (TEXT, TEXT), room[0]), (-1, -1, -1)
    for main in offered:
        for side in offered[offered.index(main) :]:
            # What cannot win need not be set: most pairs.
            found = (min(levels[side], _WORTH), levels[main], levels[side])
            if found > merit and _fits(one := _set(lines, (main, side), room[0]), room):
                best, merit = one, found
    return best


def _fits(one: _Set, room: tuple[int, int]) -> bool:
    return one.width <= room[0] and one.height <= room[1]


def _set(lines: Iterable[Line], scales: tuple[Scale, Scale], width: int) -> _Set:
    rows = tuple(row for one in lines for row in _broken(one, scales[0 if one.is_main else 1], width))
    height = sum(span_of("", scale)[1] for _, scale in rows) + sum(_leads(rows))
    return _Set(rows, max((_width(*row) for row in rows), default=0), height)


def _broken(one: Line, scale: Scale, width: int) -> Iterator[tuple[Line, Scale]]:
    if not one.wraps:
        yield one, scale
        return
    room = width if scale == TEXT else max(1, 2 * width // (scale.wide * 5))
    for text in _wrapped(one.text, scale, (width, room)):
        yield Line((one.spans[0]._replace(text=text),), one.is_main), scale


def _wrapped(text: str, scale: Scale, room: tuple[int, int]) -> list[str]:
    """Broken at blanks, by the widths of its letters: from the most letters that could fit downwards."""
    clean = lettered(text)
    for count in range(max(room[1], 1), 3, -1):
        found = wrap(clean, count, break_long_words=False)
        if all(span_of(row, scale)[0] <= room[0] for row in found):
            return found if len(found) <= _MOST_BROKEN else [clean]
    return [clean]


def _width(one: Line, scale: Scale) -> int:
    gaps = _gap(scale) * (len(one.spans) - 1)
    return max(sum(span_of(span.text, scale)[0] for span in one.spans) + gaps, span_of(one.widest, scale)[0])


def _leads(rows: Sequence[tuple[Line, Scale]]) -> list[int]:
    """Blank rows above each: none above the first, else what the larger of two neighbours needs."""
    leads = [_lead(scale) for _, scale in rows]
    return [0, *map(max, leads, leads[1:])][: len(rows)]


def _lead(scale: Scale) -> int:
    """Letters of whole cells fill their rows to the brim; smaller ones bring half a row of their own."""
    return 0 if scale.high <= 2 else 1 if scale.high <= 4 else 2
