"""Guidance to be read at an arm's length: distance and turn in large figures, a kite that points the way.

The kite's half of the picture is beside the figures, or above them where the pane is higher than wide.
"""

from __future__ import annotations

from itertools import product
from math import isfinite
from textwrap import wrap
from typing import NamedTuple

from tui import wording
from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.digits import Size, extent, is_drawn, put_large
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, put_row
from tui.canvas.widget import CanvasPane
from tui.panes.dial import CARDINALS, Dial, write_centred
from tui.panes.goto import CAUTION

NOT_CURRENT = "not current"
NORTH_UP = ("north-up", "north")
"""With these the letters of the rose stand around the kite."""


class LargeView(NamedTuple):
    """What the pane shows, formatted; an empty text where there is none."""

    distance: str = ""
    """To the target, the figure alone."""
    distance_unit: str = ""
    turn: str = ""
    """Figure and side, for example `65° right`."""
    turn_words: str = ""
    """In the place of a turn: what to do, or why it cannot be said."""
    kite_deg: float | None = None
    """Where the target lies, clockwise from the top."""
    up_name: str = "north-up"
    """What is at the top: one of NORTH_UP, or words for the user's own direction."""
    target: str = ""
    then: str = ""
    """The goal after the target."""
    banner: str = ""
    """What has happened, for example an arrival."""
    stale: bool = False
    """Too old to be taken for the present: all of it is grey then, and the kite hollow."""
    label: str = ""
    """What kind of source it is, when not a live one."""
    caution: str = CAUTION
    """Never left out: where it is empty, the usual one stands there."""


class _Box(NamedTuple):
    x: int
    y: int
    width: int
    height: int


class _Piece(NamedTuple):
    x: int
    y: int
    text: str
    size: Size


class _Way(NamedTuple):
    """One way to set a figure with its word, or words alone."""

    pieces: tuple[_Piece, ...]
    """From the upper left of its own box."""
    width: int
    height: int
    rank: tuple[int, int]
    """How large the figure is, and the word."""


_LEAST_FOR_THEN, _LEAST_FOR_FIGURES = 9, 3
"""Rows that must be left before the goal after the target has one, and before a banner or a longer caution has."""
_WORD_LINES = 3
_SIZES = (
    (Size.HUGE, Size.LARGE),
    (Size.HUGE, Size.SMALL),
    (Size.HUGE, Size.TEXT),
    (Size.LARGE, Size.SMALL),
    (Size.LARGE, Size.TEXT),
    (Size.SMALL, Size.SMALL),
    (Size.SMALL, Size.TEXT),
)
"""Of a figure and of its word, which may not outweigh it."""
_BANNERS = {"REPLAY": Paper.BANNER_REPLAY}


def draw_large(grid: Grid, view: LargeView) -> None:
    """Draw into a blank grid: at its best from 80 x 24 cells, whole from 40 x 12, at any size without a mishap."""
    last = _write_foot(grid, view)
    first = _write_head(grid, view, last)
    words, picture = _boxes(grid.width, first, last - first)
    _draw_direction(grid, picture, view)
    _write_figures(grid, words, view)


def _write_foot(grid: Grid, view: LargeView) -> int:
    """The caution at the very end, what comes after the target above it; the first row taken is returned."""
    lines = wrap(one_cell_each(view.caution).strip() or CAUTION, max(10, grid.width - 2))
    lines = lines[: max(1, min(len(lines), grid.height - _LEAST_FOR_FIGURES))]
    top = max(0, grid.height - len(lines))
    for y, line in enumerate(lines, top):
        put_row(grid, y, (Span(line, Ink.MUTED),))
    if not view.then or top <= _LEAST_FOR_THEN:
        return top
    put_row(grid, top - 1, (Span("then ", Ink.MUTED), Span(view.then, _ink(view, Ink.TEXT))))
    return top - 1


def _write_head(grid: Grid, view: LargeView, end: int) -> int:
    """Source and target, then the banner; the first row left free is returned. Nothing reaches row `end`."""
    if end < 1:
        return 0
    grid.paper(0, 0, grid.width, Paper.PANEL)
    label = Span(f" {view.label} ", Ink.BANNER, bold=True, paper=_BANNERS.get(view.label, Paper.BANNER_HELD))
    target = Span(f" {view.target or 'no target'}", _ink(view, Ink.TARGET if view.target else Ink.MUTED), bold=True)
    old = (PUSH, Span(f" {NOT_CURRENT} ", Ink.WARN, bold=True)) if view.stale else ()
    put_row(grid, 0, (*((label,) if view.label else ()), target, *old), margin=0)
    if not view.banner or end - 1 <= _LEAST_FOR_FIGURES:
        return 1
    text = f" {fitted(view.banner, grid.width - 2)}"
    paper = Paper.PANEL if view.stale else Paper.BANNER_LIVE
    grid.put(0, 1, Span(f"{text:<{grid.width}}", _ink(view, Ink.BANNER), bold=True, paper=paper))
    return 2


def _boxes(width: int, first: int, height: int) -> tuple[_Box, _Box]:
    """Room for the figures and for the picture: whichever way leaves the larger circle."""
    half = width // 2
    if min(half, 2 * height) >= min(width, height):
        return _Box(1, first, half - 1, height), _Box(half, first, width - half, height)
    upper = height // 2
    return _Box(1, first + upper, width - 2, height - upper), _Box(0, first, width, upper)


def _ink(view: LargeView, ink: Ink) -> Ink:
    return Ink.STALE if view.stale else ink


# The figures


def _write_figures(grid: Grid, box: _Box, view: LargeView) -> None:
    """Distance above, turn below, in the middle of their box."""
    upper = _ways(one_cell_each(view.distance) or wording.UNKNOWN, one_cell_each(view.distance_unit))
    lower = _turn_ways(view, box.width)
    above, below = _chosen(upper, lower, box)
    free = box.height - above.height - below.height
    gap = max(min(1, free), min(2, free // 2)) if below.height else 0
    top = box.y + max(0, (free - gap + 1) // 2)
    _write(grid, box._replace(y=top), above, _ink(view, Ink.TEXT))
    room = box._replace(y=top + above.height + gap, height=box.y + box.height - top - above.height - gap)
    _write(grid, room, below, _ink(view, Ink.TARGET))


def _write(grid: Grid, box: _Box, way: _Way, ink: Ink) -> None:
    """Text is cut to the box; figures were chosen to fit into it."""
    for piece in way.pieces:
        if piece.y < box.height:
            text = fitted(piece.text, box.width - piece.x) if piece.size is Size.TEXT else piece.text
            put_large(grid, (box.x + piece.x, box.y + piece.y), Span(text, ink), piece.size)


def _chosen(upper: list[_Way], lower: list[_Way], box: _Box) -> tuple[_Way, _Way]:
    """The pair that fits and whose smaller figure is the largest; the plainest where none fits."""

    def merit(pair: tuple[_Way, _Way]) -> tuple[int, int, int]:
        (one, word), (other, other_word) = (way.rank for way in pair)
        return min(one, other), one + other, word + other_word

    fitting = [
        (one, other)
        for one, other in product(upper, lower)
        if max(one.width, other.width) <= box.width and one.height + other.height < box.height
    ]
    return max(fitting, key=merit) if fitting else (upper[-1], lower[-1])


def _turn_ways(view: LargeView, width: int) -> list[_Way]:
    figure, _, word = one_cell_each(view.turn).partition(" ")
    if figure and is_drawn(figure) and any(char.isdigit() for char in figure):
        return _ways(figure, word)
    return [_lines(wrap(one_cell_each(view.turn or view.turn_words), max(8, width))[:_WORD_LINES])]


def _ways(figure: str, word: str) -> list[_Way]:
    """From the largest to plain text; a word beside its figure, or below it where that leaves it larger."""
    drawn = [pair for pair in _SIZES if is_drawn(figure) and (pair[1] is Size.TEXT or (word and is_drawn(word)))]
    found = [set_word((figure, word), pair) for pair in drawn for set_word in (_beside, _below)]
    return [*found, _beside((figure, word), (Size.TEXT, Size.TEXT))]


def _beside(texts: tuple[str, str], sizes: tuple[Size, Size]) -> _Way:
    (wide, high), (word_wide, word_high) = (extent(*pair) for pair in zip(texts, sizes, strict=True))
    gap = max(1, sizes[0] // 2)
    word = (_Piece(wide + gap, high - word_high, texts[1], sizes[1]),) if texts[1] else ()
    needed = _steady(wide, sizes[0]) + (gap + word_wide if word else 0)
    return _Way((_Piece(0, 0, texts[0], sizes[0]), *word), needed, high, sizes)


def _below(texts: tuple[str, str], sizes: tuple[Size, Size]) -> _Way:
    (wide, high), (word_wide, word_high) = (extent(*pair) for pair in zip(texts, sizes, strict=True))
    # A row between whole cells of both, so that they do not touch; smaller ones bring their own.
    start = high + (1 if sizes[1] is Size.LARGE else 0)
    pieces = _Piece(0, 0, texts[0], sizes[0]), _Piece(0, start, texts[1], sizes[1])
    return _Way(pieces, max(_steady(wide, sizes[0]), word_wide), start + word_high, sizes)


def _steady(width: int, size: Size) -> int:
    """A figure's width, or that of three figures: 9 that turns to 10 must not change all sizes."""
    return width if size is Size.TEXT else max(width, extent("000", size)[0])


def _lines(lines: list[str]) -> _Way:
    pieces = tuple(_Piece(0, y, line, Size.TEXT) for y, line in enumerate(lines))
    return _Way(pieces, max(map(len, lines), default=0), len(lines), (Size.LARGE, Size.TEXT))


# The picture


def _draw_direction(grid: Grid, box: _Box, view: LargeView) -> None:
    """A ring with what is up at its top, and the kite."""
    radius = min(2 * box.width - 4, 4 * box.height) / 2 - 2
    if radius < 4:
        return
    dial = Dial((2 * box.x + box.width - 0.5, 4 * box.y + 2 * box.height - 0.5), radius)
    _draw_ring(grid, dial, view._replace(up_name=fitted(view.up_name, box.width - 2)))
    if view.kite_deg is None or not isfinite(view.kite_deg):
        write_centred(grid, dial.centre, Span("no direction", Ink.MUTED))
    else:
        _draw_kite(grid, dial, view.kite_deg, view)


def _draw_ring(grid: Grid, dial: Dial, view: LargeView) -> None:
    for inset in (0, 0.8):
        grid.circle(dial.centre, dial.radius - inset, Ink.FAINT)
    for angle in range(0, 360, 30):
        grid.line(dial.at(1, angle), dial.inside(4, angle), Ink.FAINT)
    if view.up_name not in NORTH_UP:
        write_centred(grid, dial.at(1, 0), Span(f" {view.up_name} ", Ink.MUTED))
        return
    for angle, letter in CARDINALS:
        write_centred(grid, dial.at(1, angle), letter._replace(ink=_ink(view, letter.ink)))


def _draw_kite(grid: Grid, dial: Dial, angle: float, view: LargeView) -> None:
    """Its tip inside the ring, its tail notched: of a plain kite this size it is hard to say which end is the tip.

    Hollow when it is no longer true: colours are never the only cue.
    """
    shape = ((0.92, 0), (0.8, 150), (0.3, 180), (0.8, -150))
    points = [dial.at(share, angle + turn) for share, turn in shape]
    (grid.hollow if view.stale else grid.polygon)(points, _ink(view, Ink.TARGET))


class LargePane(CanvasPane):
    """The picture as a pane, without a caption: its first row says more."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, classes=classes)
        self._view = LargeView()

    def show(self, view: LargeView) -> None:
        """Show this from now on; a view equal to the last costs nothing."""
        if view != self._view:
            self._view = view
            self.repaint()

    def paint(self, grid: Grid) -> None:
        """Draw the view."""
        draw_large(grid, self._view)
