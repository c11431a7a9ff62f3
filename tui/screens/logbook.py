"""The logbook: recorded sessions, to find, replay, name, export, delete; and where one was at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.widgets import Input, Static

from core.session_list import Sort, listed
from core.sessions import Entry
from tui.canvas.cells import one_cell_each
from tui.commands import LOG_COMMANDS, bindings
from tui.own_keys import with_keys
from tui.panes.session_details import SessionDetailsPane
from tui.panes.session_form import SessionForm
from tui.panes.session_list import SessionListPane
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.screens.list_footer import ListFooter
from tui.screens.listing import WritingScreen
from tui.session_messages import SessionIntent

FIND = "type to find: words of name, note, date, locator; Enter plays the chosen one"
NOTHING_HERE = "No session yet: {toggle_recording} on the board records, fixboard live --record from the start."
NONE_LEFT = "No session is left: {undo_session} brings back the one that was deleted last."
NOTHING_FOUND = "None matches: change the words, or delete them."


class LogbookScreen(WritingScreen):
    """Looks on as the board does; what is to be done with a session goes up as an intent."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(LOG_COMMANDS)]
    own_actions = frozenset(command.action for command in LOG_COMMANDS)

    def __init__(self, board: BoardScreen, entries: tuple[Entry, ...], disk: str, deleted: int = 0) -> None:
        """`board`: whose state, colours and glyphs this screen shares.

        `disk`: how much room all takes. `deleted`: how many sessions can be brought back.
        """
        super().__init__(board)
        self._entries = entries
        self._disk, self._deleted = disk, deleted
        self._sort = Sort.NEWEST
        self._shown: list[Entry] = []
        self._ready = False
        """Whether there is something to show them in: threads do not wait for that."""

    def compose(self) -> ComposeResult:
        """Whose place this is stands above, as on the board."""
        yield SourceLine(id="source")
        yield VerdictLine(id="verdict")
        yield Input(placeholder=FIND, id="find", compact=True)
        with Container(id="logbook-panes"):
            yield SessionListPane()
            yield SessionDetailsPane()
        yield Static(self._disk, id="logbook-disk", markup=False)
        yield SessionForm()
        yield ListFooter()

    def on_mount(self) -> None:
        """Begin with the newest."""
        self._watch_board()
        self._ready = True
        self._find()
        self._find_line.focus()

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All, with the summaries that are known by now."""
        return self._entries

    @property
    def listed(self) -> list[Entry]:
        """Those that match what is typed, in order."""
        return self._shown

    def refill(self, entries: tuple[Entry, ...], disk: str, deleted: int, choose: str = "") -> None:
        """Show these from now on; `choose`: the key of the one to point at."""
        self._entries, self._deleted = entries, deleted
        self.query_one("#logbook-disk", Static).update(one_cell_each(disk))
        self._find()
        if choose:
            self._list.choose(choose)
            self._tell()

    def take(self, summed: Sequence[Entry]) -> None:
        """Summaries have been worked out; the words on the sessions may be newer than they."""
        known = {one.session: one.summary for one in summed}
        self._entries = tuple(replace(one, summary=known.get(one.session, one.summary)) for one in self._entries)
        if self._ready:
            self._find()

    def action_sort_sessions(self) -> None:
        """The next order."""
        sorts = list(Sort)
        self._sort = sorts[(sorts.index(self._sort) + 1) % len(sorts)]
        self._find()

    def action_play_session(self) -> None:
        """Enter."""
        self._intend("replay")

    def action_write_session(self) -> None:
        """Name and note."""
        if (chosen := self._chosen()) is not None:
            self.query_one(SessionForm).edit(chosen)
            self.shield()

    def action_ask_where(self) -> None:
        """Where was I?"""
        self._intend("where")

    def action_export_session(self) -> None:
        """For other programs."""
        self._intend("export")

    def action_delete_session(self) -> None:
        """Delete it."""
        self._intend("delete")

    def action_undo_session(self) -> None:
        """Bring back what was deleted last."""
        self.post_message(SessionIntent("undo"))

    def action_empty_deleted(self) -> None:
        """Remove for good what was deleted."""
        self.post_message(SessionIntent("empty"))

    def action_leave_logbook(self) -> None:
        """Back to the board."""
        self.dismiss(None)

    def _intend(self, intent: str) -> None:
        if (chosen := self._chosen()) is not None:
            self.post_message(SessionIntent(intent, chosen))

    @property
    def _list(self) -> SessionListPane:
        return self.query_one(SessionListPane)

    def _act(self) -> None:
        self.action_play_session()

    def _find(self) -> None:
        self._shown = listed(self._entries, self._find_line.value, self._sort)
        missing = sum(entry.summary is None for entry in self._entries)
        reading = f", {missing} being read" if missing else ""
        aside = f"{len(self._shown)} of {len(self._entries)}, by {self._sort.value}{reading}"
        self._list.show(self._shown, NOTHING_FOUND if self._entries else with_keys(self._nothing), aside)
        self._tell()

    @property
    def _nothing(self) -> str:
        return NONE_LEFT if self._deleted else NOTHING_HERE

    def _tell(self) -> None:
        self.query_one(SessionDetailsPane).show(self._list.chosen)
