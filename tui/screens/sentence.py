"""The screen of one sentence of the held wire, with its neighbours a key away."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen

from core.model import WireLine
from core.nmea.explain import explain_wire
from tui.canvas.palettes import Palette
from tui.panes.sentence import SentencePane
from tui.panes.source_line import SourceLine
from tui.screens.board import BoardScreen
from tui.screens.list_footer import ListFooter
from tui.state import BoardState


class SentenceScreen(ModalScreen[int]):
    """Modal, so that no key acts on what lies under it. Dismissed with the number of the line that it showed last."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "turn(-1)", "Before", key_display="Left"),
        Binding("right", "turn(1)", "Next", key_display="Right"),
        Binding("up", "scroll_rows(-1)", "Up", key_display="Up"),
        Binding("down", "scroll_rows(1)", "Down", key_display="Down"),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("home", "turn(-1000000)", show=False),
        Binding("end", "turn(1000000)", show=False),
        Binding("escape,H", "leave", "Back", key_display="Esc"),
    ]

    def __init__(self, board: BoardScreen, lines: tuple[WireLine, ...], at: int) -> None:
        """`board`: whose state, colours and glyphs this shares. `lines` is not empty, `at` is one of them."""
        super().__init__()
        self._board = board
        self._lines = lines
        self.at = at

    def compose(self) -> ComposeResult:
        """What is played stands above, as on the board."""
        yield SourceLine(id="source")
        yield SentencePane()
        yield ListFooter()

    def on_mount(self) -> None:
        """Dressed as the board is."""
        self.watch(self._board, "state", self._take_state)
        self.watch(self._board, "palette", self._take_palette)
        self._show()

    def action_turn(self, by: int) -> None:
        """Another sentence, not beyond the first and the last."""
        self.at = max(0, min(self.at + by, len(self._lines) - 1))
        self._show()

    def action_scroll_rows(self, by: int) -> None:
        """Where it is longer than the screen."""
        self._pane.scroll_rows(by)

    def action_page(self, by: int) -> None:
        """By as many rows as are seen."""
        self._pane.scroll_rows(by * self._pane.page())

    def action_leave(self) -> None:
        """Back to the wire."""
        self.dismiss(self.at)

    @property
    def _pane(self) -> SentencePane:
        return self.query_one(SentencePane)

    def _show(self) -> None:
        self._pane.show(explain_wire(self._lines[self.at]), f"{self.at + 1} of {len(self._lines)} held")

    def _take_state(self, state: BoardState) -> None:
        self.query_one(SourceLine).state = state

    def _take_palette(self, palette: Palette) -> None:
        for pane in (self.query_one(SourceLine), self._pane):
            pane.palette, pane.glyphs = palette, self._board.glyphs
