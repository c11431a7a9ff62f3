"""One line below the verdict that is there only while something must not be missed: an arrival."""

from __future__ import annotations

from textual.reactive import reactive

from tui import wording
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, put_row
from tui.canvas.widget import CanvasPane
from tui.dark import overdue_words
from tui.own_keys import own_words
from tui.panes.goto import arrival_words
from tui.state import BoardState


class BannerLine(CanvasPane):
    """Takes its row only when it has something to say."""

    DEFAULT_CSS = "BannerLine { height: 1; width: 1fr; display: none; }"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Come, change or go."""
        self.display = bool(banner_words(self.state))
        self.repaint()

    def paint(self, grid: Grid) -> None:
        """An arrival on the loudest paper but one; what is overdue on the loudest."""
        paper = Paper.BANNER_LIVE if _has_arrived(self.state) else Paper.BANNER_ALERT
        grid.paper(0, 0, grid.width, paper)
        ends = own_words("x ends the guidance ") if self.state.going.arrived else ""
        said, errors = f" {banner_words(self.state)}", _errors(self.state)
        # Half a figure may be another: the page of the go-to has both.
        words = f"{said}{errors}" if len(said) + len(errors) + 1 + len(ends) <= grid.width else said
        put_row(
            grid, 0, (Span(words, Ink.BANNER, bold=True, paper=paper), PUSH, Span(ends, Ink.BANNER, paper=paper)), 0
        )


def _errors(state: BoardState) -> str:
    """The two that the radius respects, where both are known."""
    going = state.going
    if not going.arrived or going.goal_error_m is None or going.here_error_m is None:
        return ""
    return f" (mark +-{wording.metres(going.goal_error_m)}, now +-{wording.metres(going.here_error_m)})"


def banner_words(state: BoardState) -> str:
    """What must be seen on every page; empty for nothing. An arrival before all else: it is over soon."""
    return arrival_words(state) if _has_arrived(state) else overdue_words(state)


def _has_arrived(state: BoardState) -> bool:
    return state.going.arrived and state.is_current and not state.is_held and state.target is not None
