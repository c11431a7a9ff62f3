"""The paragraph of one figure: name, value at this moment, words, source."""

from __future__ import annotations

from textwrap import wrap

from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.explained import Standing

WIDEST = 76
"""Longer lines are hard to find the next one of."""
CUT = "more on a taller terminal"


class ExplainedWords(RowsPane):
    """The figure under the cursor."""

    caption = "Explained"

    def __init__(self) -> None:
        super().__init__(id="explained-words")
        self._one: Standing | None = None

    def show(self, one: Standing | None) -> None:
        """Show this one."""
        if one != self._one:
            self._one = one
            self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """The words first of all; air between the parts where there is room; the source never goes without a word."""
        if self._one is None:
            return []
        wide = max(16, min(width - 2, WIDEST))
        words = _lines(self._one.explanation.words, wide, Ink.TEXT)
        source = _lines(f"Source: {self._one.explanation.source}.", wide, Ink.MUTED)
        head = _head(self._one, wide)
        free = height - len(head) - len(words) - len(source)
        gaps: list[list[Row]] = [[()] if free >= wanted else [] for wanted in (2, 1)]
        rows = [*head, *gaps[0], *words, *gaps[1], *source]
        return rows if len(rows) <= height else [*rows[: max(0, height - 1)], (Span(CUT, Ink.WARN),)]


def _head(one: Standing, wide: int) -> list[Row]:
    value = one.value or ("in the picture" if one.is_shown else "not on this page at the moment")
    return [
        (Span(one.explanation.title, Ink.TITLE, bold=True),),
        *_lines(one_cell_each(value), wide, Ink.TARGET if one.value else Ink.MUTED)[:2],
    ]


def _lines(text: str, wide: int, ink: Ink) -> list[Row]:
    return [(Span(line, ink),) for line in wrap(text, wide, break_on_hyphens=False)]
