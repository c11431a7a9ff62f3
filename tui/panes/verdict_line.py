"""The verdict in one line, on every page: a word, metres, the weightiest reason, what to do."""

from __future__ import annotations

from textual.reactive import reactive

from core.trust import Verdict
from tui import wording
from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import put_row
from tui.canvas.widget import CanvasPane
from tui.state import BoardState

MARKS = {Verdict.NO_FIX: "[    ]", Verdict.DOUBTFUL: "[=   ]", Verdict.USABLE: "[==  ]", Verdict.FIRM: "[====]"}
"""Beside the word, so that colour is never the only cue and the eye finds it from afar."""
LEAST_SHARE = 0.6
"""A line that would be shorter than this share of its room is cut within a clause instead: that says more."""
INKS = {Verdict.NO_FIX: Ink.ALERT, Verdict.DOUBTFUL: Ink.WARN, Verdict.USABLE: Ink.TEXT, Verdict.FIRM: Ink.GOOD}


class VerdictLine(CanvasPane):
    """How far the position can be trusted."""

    DEFAULT_CSS = "VerdictLine { height: 1; width: 1fr; }"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        self.repaint()

    def paint(self, grid: Grid) -> None:
        """Word, metres, reason, advice: as much as there is room for, in this order."""
        state = self.state
        grid.paper(0, 0, grid.width, Paper.PANEL)
        mark, word, ink = _verdict(state)
        start = (Span(f"{mark} ", ink), Span(word, ink, bold=True))
        used = 1 + sum(len(span.text) for span in start)
        told = _told(verdict_words(state), max(0, grid.width - used - 1))
        # The margin at the right is given up for a last word: advice without its end is none.
        put_row(grid, 0, (Span(" "), *start, Span(told)), margin=0)


def _told(words: str, room: int) -> str:
    """In so many cells: what is too long ends with a clause where it can, since the position's pane has all of it."""
    told = f"  {words}"
    if len(told) <= room + 1:
        return told
    ends = [n for n in range(room) if told[n] in ";:" or told[n : n + 2] == "  "]
    whole = told[: ends[-1]] if ends else ""
    return whole if len(whole) > room * LEAST_SHARE else fitted(told, room)


def _verdict(state: BoardState) -> tuple[str, str, Ink]:
    if state.is_held:
        return "[held]", "HELD PLACE", Ink.WARN
    return MARKS[state.verdict], state.verdict.words, INKS[state.verdict]


def verdict_words(state: BoardState) -> str:
    """What stands beside the word."""
    parts = [part for part in (error_words(state), *state.reasons[:1], state.advice) if part]
    return one_cell_each("  ".join(parts))


def error_words(state: BoardState) -> str:
    """The estimated 95 % error; empty where there is none."""
    error = state.snapshot.trust.error
    if error.horizontal_m is None or not state.is_current:
        return ""
    when = ", when it was marked" if state.is_held else ""
    return f"about {wording.metres(error.horizontal_m)} (95 %{when})"
