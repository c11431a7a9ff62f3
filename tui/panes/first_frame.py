"""The first frame: the board before anything has been read, drawn by one widget instead of twenty.

It says only what is so at that moment, and where: panes stand where they will stand, captions, the verdict and the
words of the position are those of a board to which nothing has come yet. What follows fills in and moves nothing
(tests/tui/test_first_frame.py).
"""

from __future__ import annotations

from tui.canvas.cells import fitted
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.widget import CanvasPane
from tui.first_layout import TOP, Head, heads, room
from tui.first_words import FirstWords


class FirstFrame(CanvasPane):
    """All of the screen."""

    def __init__(self, words: FirstWords, *, has_all_panes: bool = True) -> None:
        """`has_all_panes`: where some are left out the others stand elsewhere, and none is announced."""
        super().__init__(id="first-frame")
        self._words = words
        self._has_all_panes = has_all_panes

    def paint(self, grid: Grid) -> None:
        """What is watched, the verdict, a caption for each pane; the footer's ground."""
        for y in (0, 1, grid.height - 1):
            grid.paper(0, y, grid.width, Paper.PANEL)
        self._put_watched(grid)
        for head in self._heads(grid):
            grid.paper(head.x, head.y, head.width, Paper.PANEL)
            grid.put(head.x + 1, head.y, Span(fitted(head.caption, head.width - 2), Ink.TITLE, bold=True))
        if not self._words.is_held:
            self._put_verdict(grid)

    def _heads(self, grid: Grid) -> tuple[Head, ...]:
        screen = room(grid.width, grid.height, is_recording=self._words.is_recording)
        return heads(screen) if self._has_all_panes else ()

    def _put_watched(self, grid: Grid) -> None:
        name = self._words.watched
        grid.put(1, 0, Span(fitted(f"opening {name}" if name else "nothing open yet", grid.width - 2)))

    def _put_verdict(self, grid: Grid) -> None:
        """In the words of the board, which are not here yet."""
        x = grid.put(1, 1, Span("[    ] ", Ink.ALERT))
        x = grid.put(x, 1, Span("no fix", Ink.ALERT, bold=True))
        grid.put(x, 1, Span(fitted("  nothing has come yet", max(0, grid.width - x - 1))))
        if grid.height > TOP + 3:
            grid.put(1, TOP + 1, Span("no position", Ink.ALERT, bold=True))
            grid.put(1, TOP + 2, Span("no fix yet", Ink.MUTED))
