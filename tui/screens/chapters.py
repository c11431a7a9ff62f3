"""The chapters of the recording that is played: go to one, write, delete with undo."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container

from core.chapter_times import Placed
from tui.chapter_messages import ChapterIntent
from tui.commands import CHAPTER_COMMANDS, bindings
from tui.panes.chapter_list import ChapterDetailsPane, ChapterListPane
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.screens.list_footer import ListFooter
from tui.screens.listing import ListingScreen
from tui.state import BoardState


class ChaptersScreen(ListingScreen):
    """Looks on as the board does; what is to be done with a chapter goes up as an intent."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(CHAPTER_COMMANDS)]

    def __init__(self, board: BoardScreen, chapters: Sequence[Placed], name: str) -> None:
        """`board`: whose state, colours and glyphs this screen shares. `name`: of the chapters' file."""
        super().__init__(board)
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
        self._watch_board()
        if self._list.playing is not None:
            self._list.choose(self._list.playing.entry)
        self._tell()

    def refill(self, chapters: Sequence[Placed], choose: Placed | None = None) -> None:
        """Show these from now on."""
        self._chapters = chapters
        self._list.show(chapters, f"{len(chapters)} in {self._file}")
        if choose is not None:
            self._list.choose(choose.entry)
        self._tell()

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

    def _intend(self, intent: str) -> None:
        if (chosen := self._chosen()) is not None:
            self.post_message(ChapterIntent(intent, chosen))

    def _act(self) -> None:
        self.action_go_to_chapter()

    def _tell(self) -> None:
        self.query_one(ChapterDetailsPane).show(self._list.chosen)

    @property
    def _list(self) -> ChapterListPane:
        return self.query_one(ChapterListPane)

    def _take_state(self, state: BoardState) -> None:
        super()._take_state(state)
        if state.timeline is not None:
            self._list.play(state.timeline.position_s)
