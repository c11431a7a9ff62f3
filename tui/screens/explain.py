"""Explain this page: its figures at the left, the paragraph of the chosen one at the right, its source beneath."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.screen import ModalScreen
from textual.widgets import Footer, Input

from tui.canvas.palettes import Palette
from tui.canvas.widget import CanvasPane
from tui.explained import Standing, standing
from tui.panes.explained_list import ExplainedList
from tui.panes.explained_words import ExplainedWords
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.state import BoardState

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


class ExplainScreen(ModalScreen[None]):
    """Over all of the board, so that none of the board's keys does anything unseen."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (70, "-mid"), (110, "-wide")]  # noqa: RUF012 - declared so by Textual
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back", show=True),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
    ]

    def __init__(self, board: BoardScreen) -> None:
        """`board`: whose page is explained, and whose state, colours and glyphs this screen shares."""
        super().__init__()
        self._board = board

    def compose(self) -> ComposeResult:
        """What is watched, and how far to trust it, stand above, as on the board."""
        yield SourceLine(id="explain-source")
        yield VerdictLine(id="explain-verdict")
        yield Input(placeholder=FIND, id="find", compact=True)
        with Container(id="explain-panes"):
            yield ExplainedList()
            yield ExplainedWords()
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Begin at the top of the list."""
        self.watch(self._board, "state", self._take_state)
        self.watch(self._board, "palette", self._take_palette)
        self.set_interval(REFRESH_S, self._find)
        self._find()
        self.query_one("#find", Input).focus()

    def action_move(self, by: int) -> None:
        """The cursor."""
        self._list.move(by)
        self._tell()

    def action_page(self, by: int) -> None:
        """The cursor by as many rows as are seen."""
        self.action_move(by * self._list.page())

    def on_explained_list_chosen(self) -> None:
        """A click, or the wheel."""
        self._tell()

    def on_input_changed(self) -> None:
        """Find as the user types."""
        self._find()

    @property
    def _list(self) -> ExplainedList:
        return self.query_one(ExplainedList)

    def _find(self) -> None:
        every = standing(_panes(self._board), _lines(self._board))
        typed = self.query_one("#find", Input).value
        found = [one for one in every if _matches(one, typed)]
        self._list.show(found, f"{len(found)} of {len(every)}, page {self._board.page}")
        self._tell()

    def _tell(self) -> None:
        self.query_one(ExplainedWords).show(self._list.chosen)

    def _take_state(self, state: BoardState) -> None:
        self.query_one(SourceLine).state = state
        self.query_one(VerdictLine).state = state

    def _take_palette(self, palette: Palette) -> None:
        for pane in self.query(CanvasPane):
            pane.palette, pane.glyphs = palette, self._board.glyphs


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
