"""Stage mode: the page that is open, legible from the back of a room, between a head that says what this is and a foot.

Time bar, source and verdict lines and the keys' footer make room: rows of small text are no use from afar, and the
head and the presenter's line say what of them an audience or a presenter needs.
"""

from __future__ import annotations

from collections.abc import Callable
from textwrap import wrap
from typing import NamedTuple

from textual import events
from textual.reactive import reactive

from core.sources.source import SourceKind
from core.trust import Verdict
from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.glyphs import PLAIN
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.letters import TEXT, Scale, put_letters, span_of
from tui.canvas.rows import PUSH, put_row
from tui.canvas.widget import CanvasPane
from tui.panes.goto import CAUTION
from tui.panes.sky import has_shades
from tui.panes.sky_plot import view_of
from tui.panes.source_line import banner_paper
from tui.panes.stage_foot_words import chapter_now, next_words, place_words
from tui.panes.stage_lines import Box, put_lines
from tui.panes.stage_pictures import draw_bars, draw_rose, draw_way
from tui.panes.stage_sky import draw_stage_sky
from tui.panes.stage_words import LINES
from tui.panes.verdict_line import INKS
from tui.state import BoardState

HIGH_FROM, HUGE_FROM = 34, 50
"""Rows of the screen from which the caption's title is in letters, and its words too."""
MOST_WORDS = 3
"""Rows of the caption's words: two sentences."""
_HEAD_SCALES = (Scale(4, 4), Scale(3, 4), Scale(2, 2), Scale(1, 2))
_WITHOUT_VERDICT = {SourceKind.HELD, SourceKind.NOTHING}
_FOOT_SCALES = (Scale(2, 2), Scale(1, 2))


class StagePane(CanvasPane):
    """What the three parts share: the state, and a height that follows the screen's."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state; on another page of the program nothing is worked out."""
        if self.state.is_stage:
            self._fit()
            self.repaint()

    def on_resize(self, event: events.Resize) -> None:
        """The screen may have become higher without this pane becoming wider."""
        self._fit()
        super().on_resize(event)

    def _fit(self) -> None:
        rows = self.rows_wanted(*self.app.size)
        if rows and (self.styles.height is None or self.styles.height.value != rows):
            self.styles.height = rows

    def rows_wanted(self, width: int, height: int) -> int:
        """Rows for a screen of so many cells; 0: whatever the stylesheet gives."""
        return 0

    @property
    def is_fine(self) -> bool:
        """Whether half cells can be drawn."""
        return self.glyphs is not PLAIN


class StageHead(StagePane):
    """REPLAY, REHEARSAL or what else it is, loud and large; the verdict's word beside it."""

    def rows_wanted(self, width: int, height: int) -> int:
        """As high as its letters."""
        return span_of("", self._scale(width, height))[1] + (height >= HIGH_FROM)

    def _scale(self, width: int, height: int) -> Scale:
        offered = [
            one for one in _HEAD_SCALES if (self.is_fine or one.wide % 2 == 0) and (one.high <= 2 or height >= 30)
        ]
        label, beside = self.state.status.kind.value, self._verdict_room()
        fitting = [one for one in offered if span_of(label, one)[0] <= width - 4]
        largest = next(iter(fitting), TEXT)
        # Narrower letters leave room for the verdict's, then lower ones; of many rows those would be too few.
        offered = [one for one in fitting if one.high == largest.high or height < HUGE_FROM]
        return next((one for one in offered if span_of(label, one)[0] + 4 + beside <= width), largest)

    def _verdict_room(self) -> int:
        """Columns for any verdict in the smallest letters: of text in a corner nobody reads how far to trust it."""
        if self.state.status.kind in _WITHOUT_VERDICT:
            return 0
        smallest = _HEAD_SCALES[-1] if self.is_fine else Scale(2, 2)
        return max(span_of(verdict.words, smallest)[0] for verdict in Verdict) + 4

    def paint(self, grid: Grid) -> None:
        """The label on its paper, the verdict on the panel's."""
        kind = self.state.status.kind
        scale = self._scale(*self.app.size)
        wide = min(grid.width, span_of(kind.value, scale)[0] + 4)
        for y in range(grid.height):
            grid.paper(0, y, grid.width, Paper.PANEL)
            grid.paper(0, y, wide, banner_paper(self.state))
        put_letters(grid, (2, max(0, (grid.height - span_of("", scale)[1]) // 2)), Span(kind.value, Ink.BANNER), scale)
        self._write_verdict(grid, wide)

    def _write_verdict(self, grid: Grid, start: int) -> None:
        """As large as there is room for; where there is none, the page and the board say it."""
        verdict = self.state.verdict
        if self.state.status.kind in _WITHOUT_VERDICT:
            return
        for scale in (*_HEAD_SCALES[2:], TEXT) if self.is_fine else (Scale(2, 2), TEXT):
            wide, high = span_of(verdict.words, scale)
            if start + wide + 4 <= grid.width and high <= grid.height:
                at = grid.width - wide - 2, (grid.height - high) // 2
                put_letters(grid, at, Span(verdict.words, INKS[verdict]), scale)
                return


class Plan(NamedTuple):
    """Where on a stage page words and picture go."""

    words: Box
    picture: Box


class Means(NamedTuple):
    """What the terminal can show."""

    fine: bool
    """Half cells."""
    has_shades: bool
    """Strong and weak signals in different colours."""


Painter = Callable[[Grid, Box, BoardState, Means], None]


def _sky(grid: Grid, box: Box, state: BoardState, means: Means) -> None:
    draw_stage_sky(grid, box, view_of(state)._replace(has_shades=means.has_shades), fine=means.fine)


def _bars(grid: Grid, box: Box, state: BoardState, means: Means) -> None:
    draw_bars(grid, box, view_of(state), fine=means.fine)


def _rose(grid: Grid, box: Box, state: BoardState, means: Means) -> None:
    draw_rose(grid, box, state, fine=means.fine)


def _way(grid: Grid, box: Box, state: BoardState, means: Means) -> None:
    draw_way(grid, box, state, fine=means.fine)


PICTURES: dict[str, Painter] = {"sky": _sky, "signals": _bars, "compass": _rose, "goto": _way, "large": _way}
"""By page; the others are words alone."""
_BELOW = {"signals"}
"""Pictures that want the whole width: their words stand above them."""


def plan(page: str, width: int, height: int) -> Plan:
    """Words left, a round picture right as large as the height allows; above each other where the pane is narrow."""
    inner = Box(2, 0, max(0, width - 4), height)
    if page not in PICTURES:
        return Plan(inner, Box(0, 0, 0, 0))
    if page in _BELOW or width < height * 2:
        upper = max(1, height // 4 if page in _BELOW else height // 3)
        return Plan(inner._replace(height=upper), Box(1, upper, max(0, width - 2), height - upper))
    across = min(2 * height + 4, width * 11 // 20)
    return Plan(inner._replace(width=max(0, width - across - 4)), Box(width - across, 0, across, height))


class StageBody(StagePane):
    """The page itself."""

    page: reactive[str] = reactive("board", init=False, repaint=False)

    def watch_page(self) -> None:
        """Draw the new page."""
        self.repaint()

    def watch_palette(self) -> None:
        """The legend of the sky hangs on it."""
        super().watch_palette()
        self.repaint()

    def paint(self, grid: Grid) -> None:
        """Picture below, words on top of it: text wins."""
        words = LINES.get(self.page)
        if words is None or not self.state.is_stage:
            return
        cautions = 1 if self.page in {"goto", "large"} and grid.height > 4 else 0
        where = plan(self.page, grid.width, grid.height - cautions)
        if self.page in PICTURES:
            PICTURES[self.page](grid, where.picture, self.state, Means(self.is_fine, has_shades(self.palette)))
        put_lines(grid, where.words, tuple(words(self.state)), fine=self.is_fine)
        if cautions:
            put_row(grid, grid.height - 1, (Span(CAUTION, Ink.MUTED),))


class StageFoot(StagePane):
    """A caption for the audience above, the presenter's line at the very end."""

    def rows_wanted(self, width: int, height: int) -> int:
        """One for the presenter, and what the caption takes."""
        return 1 + sum(span_of("", scale)[1] for _, scale in self._caption(width, height))

    def _caption(self, width: int, height: int) -> list[tuple[Span, Scale]]:
        """Rows of the caption with their sizes: the higher the screen, the larger; words give way on small ones."""
        chapter = chapter_now(self.state)
        if chapter is None:
            return []
        title, words = one_cell_each(chapter.title), one_cell_each(chapter.words)
        offered = [one for one in _FOOT_SCALES if self.is_fine or one.wide > 1] if height >= HIGH_FROM else []
        scale = next((one for one in offered if span_of(title, one)[0] <= width - 4), TEXT)
        rows = [(Span(title, Ink.TITLE, bold=True), scale)]
        return [*rows, *((Span(row, Ink.TEXT), size) for row, size in self._words(words, width, height))]

    def _words(self, words: str, width: int, height: int) -> list[tuple[str, Scale]]:
        for scale in _FOOT_SCALES if height >= HUGE_FROM and self.is_fine else ():
            rows = wrap(words, max(8, 2 * (width - 4) // (scale.wide * 6)))
            if len(rows) <= MOST_WORDS - 1 and all(span_of(row, scale)[0] <= width - 4 for row in rows):
                return [(row, scale) for row in rows]
        rows = wrap(words, max(8, width - 4))
        most = MOST_WORDS if height >= HIGH_FROM else 2
        cut = [*rows[: most - 1], fitted(" ".join(rows[most - 1 :]), width - 4)] if len(rows) > most else rows
        return [(row, TEXT) for row in cut if height >= 16]

    def paint(self, grid: Grid) -> None:
        """Caption on the panel's paper, then the line that only the presenter needs."""
        for y in range(grid.height - 1):
            grid.paper(0, y, grid.width, Paper.PANEL)
        y = 0
        for span, scale in self._caption(*self.app.size):
            if scale == TEXT:
                put_row(grid, y, (span,), margin=2)
            else:
                put_letters(grid, (2, y), span, scale)
            y += span_of("", scale)[1]
        put_row(
            grid,
            grid.height - 1,
            (Span(next_words(self.state), Ink.MUTED), PUSH, Span(place_words(self.state), Ink.MUTED)),
        )


STAGED = frozenset(LINES)
"""Pages that the body has a form of."""


def stage_panes() -> tuple[StageHead, StageBody, StageFoot]:
    """The three parts, from the top."""
    return StageHead(id="stage-head"), StageBody(id="stage-body"), StageFoot(id="stage-foot")
