"""The chapters of the recording that is played: go to one, write, delete with undo."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.screen import Screen

from core.chapter_times import Placed
from tui.canvas.palettes import Palette
from tui.chapter_messages import ChapterIntent
from tui.commands import CHAPTER_COMMANDS, bindings
from tui.panes.chapter_list import ChapterDetailsPane, ChapterListPane
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.screens.list_footer import ListFooter
from tui.state import BoardState


class ChaptersScreen(Screen[None]):
    """Looks on as the board does; what is to be done with a chapter goes up as an intent."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012 - declared so by Textual
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(CHAPTER_COMMANDS),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page_of(-1)", show=False),
        Binding("pagedown", "page_of(1)", show=False),
    ]

    def __init__(self, board: BoardScreen, chapters: Sequence[Placed], name: str) -> None:
        """`board`: whose state, colours and glyphs this screen shares. `name`: of the chapters' file."""
        super().__init__()
        self._board = board
        self._chapters = chapters
        self._file = name

    def compose(self) -> ComposeResult:
        """What is played stands above, as on the board."""
        yield SourceLine(id="source")
        yield VerdictLine(id="verdict")
        with Container(id="chapter-panes"):
            yield ChapterListPane()
            yield ChapterDetailsPane()
        yield ListFooter()

    def on_mount(self) -> None:
        """Begin with the one that is played."""
        self.refill(self._chapters)
        self.watch(self._board, "state", self._take_state)
        self.watch(self._board, "palette", self._take_palette)
        if self._list.playing is not None:
            self._list.choose(self._list.playing)
        self._look()

    def refill(self, chapters: Sequence[Placed], choose: Placed | None = None) -> None:
        """Show these from now on."""
        self._chapters = chapters
        self._list.show(chapters, f"{len(chapters)} in {self._file}")
        if choose is not None:
            self._list.choose(choose)
        self._look()

    def action_move(self, by: int) -> None:
        """The cursor."""
        self._list.move(by)
        self._look()

    def action_page_of(self, by: int) -> None:
        """The cursor by as many rows as are seen."""
        self.action_move(by * self._list.page())

    def action_go_to_chapter(self) -> None:
        """Enter."""
        self._intend("go")

    def action_write_chapter(self) -> None:
        """Title, words, time, page, mask, pace."""
        self._intend("edit")

    def action_new_chapter(self) -> None:
        """One at the moment that is played."""
        self.post_message(ChapterIntent("add"))

    def action_delete_chapter(self) -> None:
        """Delete it."""
        self._intend("delete")

    def action_undo_chapter(self) -> None:
        """Bring back what was deleted last."""
        self.post_message(ChapterIntent("undo"))

    def action_leave_chapters(self) -> None:
        """Back to the board."""
        self.dismiss(None)

    def on_chapter_intent(self, message: ChapterIntent) -> None:
        """A click chooses."""
        if message.intent == "look":
            message.stop()
            self._look()

    def _intend(self, intent: str) -> None:
        if self._list.chosen is not None:
            self.post_message(ChapterIntent(intent, self._list.chosen))

    def _look(self) -> None:
        self.query_one(ChapterDetailsPane).show(self._list.chosen)

    @property
    def _list(self) -> ChapterListPane:
        return self.query_one(ChapterListPane)

    def _take_state(self, state: BoardState) -> None:
        self.query_one(SourceLine).state = state
        self.query_one(VerdictLine).state = state
        if state.timeline is not None:
            self._list.play(state.timeline.position_s)

    def _take_palette(self, palette: Palette) -> None:
        for pane in (SourceLine, VerdictLine, ChapterListPane, ChapterDetailsPane):
            one = self.query_one(pane)
            one.palette, one.glyphs = palette, self._board.glyphs
