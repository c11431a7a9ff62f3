"""The nearest stations of the user's lists: find, go to, copy from, point the beam at.

The order stands still while the user works on it: new places are taken up every few seconds, in a thread, and while
keys are being pressed only figures change, not rows. The cursor stays on its station whatever happens, so that Enter
goes to what was read.
"""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.widgets import Input, Static

from core.station_contents import EMPTY, Contents
from core.station_filter import Wanted
from tui.commands import STATION_COMMANDS, bindings
from tui.own_keys import with_keys
from tui.panes.source_line import SourceLine
from tui.panes.station_details import DetailsView, StationDetailsPane
from tui.panes.station_list import StationListPane, StationView
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.screens.list_footer import ListFooter
from tui.screens.listing import FindingScreen
from tui.state import BoardState
from tui.station_messages import StationIntent, StationsFound
from tui.station_search import Answer, Question, answer, day_of, whence

FIND = "type to find: words of call, name, place, MHz, notes; Enter goes there"
READING = "Reading the lists ..."
NO_LIST = "No list of stations yet: {add_list} copies one (CSV, GPX, GeoJSON) into your folder."
NONE_READ = "None of the lists could be read: {list_report} says why."
NOTHING_FOUND = "None matches: change the words, or {next_band} and {next_mode} until all bands and modes are back."
CAUTION = " Licence and band plans go before this list; a station may be off the air."
AGAIN_S = 3.0
"""How often a new position is taken up: a walker is 4 m further by then, a car 100 m (our own choice)."""
LOOK_S = 6.0
"""How often files are asked whether they have changed: one question to the file system for each."""


class StationsScreen(FindingScreen):
    """Looks on as the board does; what is to be done with a station goes up as an intent."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide")]  # noqa: RUF012 - declared so by Textual
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(STATION_COMMANDS)]

    def __init__(self, board: BoardScreen, antenna_m: float | None) -> None:
        """`board`: whose state, colours and glyphs this screen shares. `antenna_m`: of the user, None unknown."""
        super().__init__(board)
        self._antenna_m = antenna_m
        self._contents: Contents | None = None
        self._is_demo = False
        self._wanted = Wanted()
        self._answer = Answer()
        self._busy = self._again = self._keys_pressed = False
        self._drawn: object = None

    def compose(self) -> ComposeResult:
        """Whose place this is stands above, as on the board."""
        yield SourceLine(id="source")
        yield VerdictLine(id="verdict")
        yield Input(placeholder=FIND, id="find", compact=True)
        with Container(id="station-panes"):
            yield StationListPane()
            yield StationDetailsPane()
        yield Static(CAUTION, id="station-caution", markup=False)
        yield ListFooter()

    def on_mount(self) -> None:
        """Ask for the lists."""
        self._watch_board()
        self.set_interval(AGAIN_S, self._follow)
        self.set_interval(LOOK_S, self._look)
        self._find_line.focus()
        self._look()

    @property
    def contents(self) -> Contents:
        """All lists, as they were read last."""
        return self._contents or EMPTY

    @property
    def answer(self) -> Answer:
        """What is listed."""
        return self._answer

    def take(self, contents: Contents, *, is_demo: bool) -> None:
        """The files have been looked at. `is_demo`: this is the bundled, invented list."""
        if contents is not self._contents or is_demo != self._is_demo:
            self._contents, self._is_demo = contents, is_demo
            self._ask()

    def action_next_band(self) -> None:
        """Of those there are; then all."""
        self._want(band=_after(("", *self.contents.bands), self._wanted.band))

    def action_next_mode(self) -> None:
        """Of those there are; then all."""
        self._want(mode=_after(("", *self.contents.modes), self._wanted.mode))

    def action_go_to_station(self) -> None:
        """Enter."""
        self._intend("go")

    def action_copy_field(self) -> None:
        """Which one is asked."""
        self._intend("copy")

    def action_beam_to_station(self) -> None:
        """Where to turn the beam."""
        self._intend("beam")

    def action_list_report(self) -> None:
        """What was understood of the lists."""
        self.post_message(StationIntent("report"))

    def action_add_list(self) -> None:
        """Copy a list into the folder."""
        self.post_message(StationIntent("add"))

    def action_more_details(self) -> None:
        """The next page of them."""
        self.query_one(StationDetailsPane).turn()

    def action_leave_stations(self) -> None:
        """Back to the board."""
        self.dismiss(None)

    def on_stations_found(self, message: StationsFound) -> None:
        """The thread has an answer; where something else has been asked meanwhile, it is asked again."""
        message.stop()
        self._busy = False
        self._answer = message.answer
        self._draw()
        if self._again:
            self._ask()

    def _intend(self, intent: str) -> None:
        if (chosen := self._chosen()) is not None:
            self.post_message(StationIntent(intent, chosen.station))

    def _look(self) -> None:
        self.post_message(StationIntent("look"))

    def _want(self, **changes: str) -> None:
        wanted = self._wanted._replace(**changes)
        if wanted != self._wanted:
            self._wanted = wanted
            self._list.first()
            self._ask()

    def _follow(self) -> None:
        """Take up where we are now; between two presses of keys the order stays as it is."""
        pressed, self._keys_pressed = self._keys_pressed, False
        here, before = whence(self._board.state).here, self._answer.question.here
        if here != before or (not pressed and self._answer.question.keep):
            self._ask(keeping=pressed)

    def _ask(self, *, keeping: bool = False) -> None:
        """One question at a time: the thread that answers is never waited for, and never has a queue."""
        if self._busy or self._contents is None:
            self._again = True
            return
        state = self._board.state
        keep = tuple(item.station for item in self._answer.items) if keeping else ()
        question = Question(self._contents, self._wanted, whence(state).here, day_of(state), keep)
        self._busy, self._again = True, False
        self.run_worker(partial(self._work_out, question), thread=True, group="stations")

    def _work_out(self, question: Question) -> None:
        self.post_message(StationsFound(answer(question)))

    @property
    def _list(self) -> StationListPane:
        return self.query_one(StationListPane)

    def _draw(self) -> None:
        state = self._board.state
        pane, found = self._list, self._answer
        invented = "INVENTED demo stations" if self._is_demo else "Stations"
        pane.caption = f"{invented} {whence(state).words}"
        is_cut = len(found.items) < found.matching
        shown, every = (len(found.items), found.matching) if is_cut else (found.matching, len(self.contents.stations))
        filters = "".join(f", {one}" for one in (self._wanted.band, self._wanted.mode.upper()) if one)
        pane.aside = pane.aside._replace(text=f"{shown:,} of {every:,}{filters}")
        names = [one.name for one in (state.target, *state.then) if one]
        pane.show(StationView(found, frozenset(names)), self._empty())
        self._tell()

    def _empty(self) -> str:
        if self._contents is None or self._busy:
            return READING
        if not self._contents.lists:
            return with_keys(NO_LIST)
        return with_keys(NOTHING_FOUND if self._contents.stations else NONE_READ)

    def _find(self) -> None:
        self._want(words=self._find_line.value)

    def _walked(self) -> None:
        self._keys_pressed = True
        super()._walked()

    def _act(self) -> None:
        self.action_go_to_station()

    def _tell(self) -> None:
        notation = self._board.state.notation
        view = DetailsView(self._list.chosen, self._answer, notation, self._antenna_m)
        self.query_one(StationDetailsPane).show(view)

    def _take_state(self, state: BoardState) -> None:
        super()._take_state(state)
        stands = (whence(state).words, state.target, state.then, state.notation)
        if stands != self._drawn:  # ten states a second that say nothing new here cost nothing
            self._drawn = stands
            self._draw()


def _after(choices: tuple[str, ...], now: str) -> str:
    return choices[(choices.index(now) + 1) % len(choices)] if now in choices else ""
