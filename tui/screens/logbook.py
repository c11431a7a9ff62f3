"""The logbook: recorded sessions, to find, replay, name, export, delete; and where one was at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.screen import Screen
from textual.widgets import Input, Static

from core.session_list import Sort, listed
from core.sessions import Entry
from tui.canvas.cells import one_cell_each
from tui.canvas.palettes import Palette
from tui.commands import LOG_COMMANDS, bindings
from tui.messages import FormLeft
from tui.panes.session_details import SessionDetailsPane
from tui.panes.session_form import SessionForm
from tui.panes.session_list import SessionListPane
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.screens.list_footer import ListFooter
from tui.session_messages import SessionIntent
from tui.state import BoardState

FIND = "type to find: words of name, note, date, locator; Enter plays the chosen one"
NOTHING_HERE = "No session yet: r on the board records, fixboard live --record from the start."
NOTHING_FOUND = "None matches: change the words, or delete them."
_OURS = {command.action for command in LOG_COMMANDS} | {"move", "page"}


class LogbookScreen(Screen[None]):
    """Looks on as the board does; what is to be done with a session goes up as an intent."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012 - declared so by Textual
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(LOG_COMMANDS),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
    ]

    def __init__(self, board: BoardScreen, entries: tuple[Entry, ...], disk: str) -> None:
        """`board`: whose state, colours and glyphs this screen shares. `disk`: how much room all takes."""
        super().__init__()
        self._board = board
        self._entries = entries
        self._disk = disk
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
        self.watch(self._board, "state", self._take_state)
        self.watch(self._board, "palette", self._take_palette)
        self._ready = True
        self._find()
        self.query_one("#find", Input).focus()

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All, with the summaries that are known by now."""
        return self._entries

    @property
    def listed(self) -> list[Entry]:
        """Those that match what is typed, in order."""
        return self._shown

    def refill(self, entries: tuple[Entry, ...], disk: str, choose: str = "") -> None:
        """Show these from now on; `choose`: the key of the one to point at."""
        self._entries = entries
        self.query_one("#logbook-disk", Static).update(one_cell_each(disk))
        self._find()
        if choose:
            self._list.choose(choose)
            self._details.show(self._list.chosen)

    def take(self, summed: Sequence[Entry]) -> None:
        """Summaries have been worked out; the words on the sessions may be newer than they."""
        known = {one.session: one.summary for one in summed}
        self._entries = tuple(replace(one, summary=known.get(one.session, one.summary)) for one in self._entries)
        if self._ready:
            self._find()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While a form is open its keys are the form's: F8 must not delete what is being named."""
        del parameters
        return not (action in _OURS and self.query_one(SessionForm).is_open)

    def action_move(self, by: int) -> None:
        """The cursor."""
        self._list.move(by)
        self._details.show(self._list.chosen)

    def action_page(self, by: int) -> None:
        """The cursor by as many rows as are seen."""
        self.action_move(by * self._list.page())

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
        if self._list.chosen is not None:
            self.query_one(SessionForm).edit(self._list.chosen)
            self.query_one("#find", Input).disabled = True
            self.refresh_bindings()

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

    def on_session_intent(self, message: SessionIntent) -> None:
        """A click chooses."""
        if message.intent == "look":
            message.stop()
            self._details.show(self._list.chosen)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Find as the user types."""
        if event.input.id == "find":
            self._find()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in the line of words plays the chosen one."""
        if event.input.id == "find":
            event.stop()
            self.action_play_session()

    def on_form_left(self, message: FormLeft) -> None:
        """The keys are the list's again."""
        message.stop()
        self.query_one("#find", Input).disabled = False
        self.refresh_bindings()
        self.query_one("#find", Input).focus()

    def _intend(self, intent: str) -> None:
        if self._list.chosen is not None:
            self.post_message(SessionIntent(intent, self._list.chosen))

    @property
    def _list(self) -> SessionListPane:
        return self.query_one(SessionListPane)

    @property
    def _details(self) -> SessionDetailsPane:
        return self.query_one(SessionDetailsPane)

    def _find(self) -> None:
        self._shown = listed(self._entries, self.query_one("#find", Input).value, self._sort)
        missing = sum(entry.summary is None for entry in self._entries)
        reading = f", {missing} being read" if missing else ""
        aside = f"{len(self._shown)} of {len(self._entries)}, by {self._sort.value}{reading}"
        self._list.show(self._shown, NOTHING_FOUND if self._entries else NOTHING_HERE, aside)
        self._details.show(self._list.chosen)

    def _take_state(self, state: BoardState) -> None:
        self.query_one(SourceLine).state = state
        self.query_one(VerdictLine).state = state

    def _take_palette(self, palette: Palette) -> None:
        for pane in (SourceLine, VerdictLine, SessionListPane, SessionDetailsPane):
            one = self.query_one(pane)
            one.palette, one.glyphs = palette, self._board.glyphs
