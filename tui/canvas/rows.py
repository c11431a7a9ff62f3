"""Panes made of rows of text."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.widget import CanvasPane

Row = Sequence[Span]

PUSH = Span("")
"""Not shown: the spans after it stand at the right edge of the row. Known by identity, not by its text."""


def put_row(grid: Grid, y: int, row: Row, margin: int = 1) -> None:
    """Write spans from left to right, those after a PUSH against the right edge, `margin` cells free on both sides.

    What does not fit is cut at the right margin, and marked as cut; right-hand spans come first, so that they survive.
    """
    split = next((n for n, span in enumerate(row) if span is PUSH), len(row))
    left, right = row[:split], row[split + 1 :]
    edge = grid.width - margin
    start = max(margin, edge - sum(len(one_cell_each(span.text)) for span in right))
    _put(grid, y, right, (start, edge))
    _put(grid, y, left, (margin, start - 1 if right else edge))


def put_words(grid: Grid, words: str) -> None:
    """Write a sentence in place of rows, over as many rows as it takes: what to do must not be cut."""
    for y, line in enumerate(wrap(one_cell_each(words), max(1, grid.width - 2))[: grid.height]):
        put_row(grid, y, (Span(line, Ink.MUTED),))


def _put(grid: Grid, y: int, spans: Row, columns: tuple[int, int]) -> None:
    x, edge = columns
    for span in spans:
        text = fitted(span.text, max(0, edge - x))
        x = grid.put(x, y, span._replace(text=text))


def _same(a: Row | str, b: Row | str) -> bool:
    """Whether two rows are written alike; a PUSH is known by identity, so equality alone would not tell."""
    return a == b and (isinstance(a, str) or all((x is PUSH) is (y is PUSH) for x, y in zip(a, b, strict=True)))


class RowsPane(CanvasPane):
    """Override `rows`; a row that is a string is written as plain text."""

    _written: tuple[Grid, Sequence[Row | str]] = (Grid(0, 0), ())
    """The rows of the last time, and the grid that they were written into."""

    def rows(self, width: int, height: int) -> Sequence[Row | str]:
        """What to show in `width` x `height` cells, first row first; rows beyond the height are not shown."""
        return ()

    def paint(self, grid: Grid) -> None:
        """Write the rows. Most are those of the last time, and fitting them in again costs more than telling that."""
        rows, (before, known) = self.rows(grid.width, grid.height)[: grid.height], self._written
        if (before.width, before.height) != (grid.width, grid.height):
            known = ()
        for y, row in enumerate(rows):
            if y < len(known) and _same(row, known[y]):
                grid.copy_row(y, before)
            else:
                put_row(grid, y, (Span(row, Ink.TEXT),) if isinstance(row, str) else row)
        self._written = grid, rows
