"""The caption of the chapter that is played: its title, and a sentence or two for the audience."""

from __future__ import annotations

from textwrap import wrap

from textual.reactive import reactive

from core.chapters import Chapter
from tui.canvas.cells import CUT, one_cell_each
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.widget import CanvasPane
from tui.state import BoardState

SHOWN_S = 60.0
"""Of the room: time to read two sentences aloud and to say something about them (common practice, no source). It ends
then, since a caption speaks of its moment: ten minutes later it would be untrue. Counted in the recording's time by
the pace, so that it stays while the recording is paused, and comes again when somebody goes back."""
MOST_ROWS, FLAT = 3, 20
"""Rows that it takes at most; on a screen of fewer than `FLAT` it takes one."""


def caption_of(state: BoardState) -> Chapter | None:
    """The chapter that the audience should read of now; None for none."""
    where = state.timeline
    if where is None:
        return None
    chapter = state.chapters.at(where.position_s)
    if chapter is None or where.position_s - chapter.at_s > stays_s(state.status.pace):
        return None
    return chapter


def stays_s(pace: float | None) -> float:
    """How long a caption stays, in the recording's seconds; below the pace of life it does not shrink with the pace."""
    return SHOWN_S * max(1.0, pace or 1.0)


def numbered(state: BoardState, chapter: Chapter) -> str:
    """Which of how many."""
    return f"{state.chapters.items.index(chapter) + 1}/{len(state.chapters.items)}"


class CaptionLines(CanvasPane):
    """Takes rows only while there is something to read."""

    DEFAULT_CSS = "CaptionLines { height: 1; width: 1fr; display: none; }"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Come, change or go."""
        self._fit()
        self.repaint()

    def on_resize(self, event: object) -> None:
        """Other widths break lines elsewhere."""
        del event
        self._fit()

    def paint(self, grid: Grid) -> None:
        """The title, then the words, running on."""
        for y in range(grid.height):
            grid.paper(0, y, grid.width, Paper.PANEL)
        chapter = caption_of(self.state)
        if chapter is None:
            return
        head = self._heading(chapter)
        for y, line in enumerate(caption_lines(head, chapter.words, grid.width - 2, grid.height)):
            title = "" if y else line[: len(head)]
            x = grid.put(1, y, Span(title, Ink.TITLE, bold=True))
            grid.put(x, y, Span(line[len(title) :], Ink.TEXT))

    def _heading(self, chapter: Chapter) -> str:
        return one_cell_each(f"{numbered(self.state, chapter)} {chapter.title}")

    def _fit(self) -> None:
        """As many rows as it needs and the screen can spare."""
        chapter = caption_of(self.state)
        self.set_class(chapter is not None, "-shown")
        if self.is_attached:  # what is said (a toast) must not hide what is being read
            self.screen.set_class(chapter is not None, "-captioned")
        if chapter is None:
            return
        width, height = self.app.size
        most = 1 if height < FLAT else MOST_ROWS
        self.styles.height = len(caption_lines(self._heading(chapter), chapter.words, width - 2, most))


def caption_lines(head: str, words: str, width: int, rows: int) -> list[str]:
    """Title and words as one paragraph of at most so many rows; what does not fit is cut, and marked as cut."""
    text = f"{head}: {one_cell_each(words)}" if words else head
    lines = wrap(text, max(1, width), break_on_hyphens=False)
    if len(lines) <= rows:
        return lines
    return [*lines[: rows - 1], f"{' '.join(lines[rows - 1 :])[: width - 1].rstrip()}{CUT}"]
