"""Explain this page: its figures, and beside or below them the paragraph of the chosen one with its source."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.screen import ModalScreen
from textual.widgets import Input

from tui.canvas.widget import CanvasPane
from tui.explained import Standing, standing
from tui.panes.explained_list import ExplainedList
from tui.panes.explained_words import ExplainedWords
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.screens.list_footer import ListFooter
from tui.screens.listing import FindingScreen

FIND = "type to find a figure; Up and Down choose, Esc goes back"
REFRESH_S = 1.0
"""Values are read, not watched: oftener would only move them under the eye."""
LINES = ("source", "verdict", "banner", "time-bar")
"""Ids of what stands on every page."""
PANES_OF = {
    "board": ("position", "fix", "goto", "sky", "compass", "wire"),
    "sky": ("sky-plot", "what-if"),
    "trail": ("trail", "profile"),
    "averaging": ("averaging", "scatter"),
    "ab": ("ab-sky-a", "ab", "ab-strip"),
}
"""Panes by page, of pages that are more than the pane of their name: asked where none is seen, as on stage."""


class ExplainScreen(FindingScreen, ModalScreen[None]):
    """Of the board's open page. Over all of the board, so that none of its keys does anything unseen."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (78, "-mid"), (156, "-wide")]  # noqa: RUF012 - declared so by Textual
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back", show=True)]

    def compose(self) -> ComposeResult:
        """What is watched, and how far to trust it, stand above, as on the board."""
        yield SourceLine(id="explain-source")
        yield VerdictLine(id="explain-verdict")
        yield Input(placeholder=FIND, id="find", compact=True)
        with Container(id="explain-panes"):
            yield ExplainedList()
            yield ExplainedWords()
        yield ListFooter()

    def on_mount(self) -> None:
        """Begin at the top of the list."""
        self._watch_board()
        self.set_interval(REFRESH_S, self._find)
        self._find()
        self._find_line.focus()

    @property
    def _list(self) -> ExplainedList:
        return self.query_one(ExplainedList)

    def _find(self) -> None:
        every = standing(_panes(self._board), _lines(self._board))
        found = [one for one in every if _matches(one, self._find_line.value)]
        self._list.show(found, f"{len(found)} of {len(every)}, page {self._board.page}")
        self._tell()

    def _tell(self) -> None:
        self.query_one(ExplainedWords).show(self._list.chosen)


def _panes(board: BoardScreen) -> list[CanvasPane]:
    """Those that are seen on the open page; where the page is drawn in another form, those that it is made of."""
    seen = [pane for pane in board.query("#panes CanvasPane").results(CanvasPane) if pane.region and pane.display]
    if seen:
        return seen
    wanted = PANES_OF.get(board.page, (board.page,))
    return [pane for pane in board.query("#panes CanvasPane").results(CanvasPane) if pane.id in wanted]


def _lines(board: BoardScreen) -> list[CanvasPane]:
    return [pane for pane in board.query(CanvasPane) if pane.id in LINES]


def _matches(one: Standing, typed: str) -> bool:
    """Every word typed, somewhere in the name or the pane."""
    text = f"{one.explanation.title} {one.explanation.key.replace('_', ' ')} {one.pane}".casefold()
    return all(word in text for word in typed.casefold().split())
