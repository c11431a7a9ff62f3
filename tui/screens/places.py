"""The waypoints: find, go to, edit, add, delete, hold, hand over."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.widgets import Input

from core.fix import Position
from core.place_list import Sort, listed
from core.places.geodesic import distance_m
from core.waypoint import Waypoint
from tui.commands import PLACE_COMMANDS, bindings
from tui.messages import PlaceIntent
from tui.own_keys import with_keys
from tui.panes.place_details import PlaceDetailsPane
from tui.panes.place_form import PlaceForm
from tui.panes.place_list import ListView, PlaceListPane
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.screens.list_footer import ListFooter
from tui.screens.listing import WritingScreen
from tui.state import BoardState

FIND = "type to find: words of name, note or kind; Enter goes to the chosen one"
NOTHING_HERE = "No waypoint yet: {add_place} adds one by typing it, {mark_here} on the board marks where you are."
NOTHING_FOUND = "None matches: change the words, or delete them."
RESORT_M = 50.0
"""So far from where the list was last put in order it is put in order again."""


class PlacesScreen(WritingScreen):
    """Looks on as the board does; what is to be done with a waypoint goes up as an intent."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(PLACE_COMMANDS)]
    own_actions = frozenset(command.action for command in PLACE_COMMANDS)

    def __init__(self, board: BoardScreen, waypoints: tuple[Waypoint, ...]) -> None:
        """`board`: whose state, colours and glyphs this screen shares."""
        super().__init__(board)
        self._waypoints = waypoints
        self._sort = Sort.DISTANCE
        self._shown: list[Waypoint] = []
        self._sorted_at: Position | None = None

    def compose(self) -> ComposeResult:
        """Whose place this is stands above, as on the board."""
        yield SourceLine(id="source")
        yield VerdictLine(id="verdict")
        yield Input(placeholder=FIND, id="find", compact=True)
        with Container(id="places-panes"):
            yield PlaceListPane()
            yield PlaceDetailsPane()
        yield PlaceForm()
        yield ListFooter()

    def on_mount(self) -> None:
        """Begin with what is near."""
        self._watch_board()
        self.refill(self._waypoints)
        self._find_line.focus()

    def refill(self, waypoints: tuple[Waypoint, ...], choose: Waypoint | None = None) -> None:
        """Show these from now on: the file has changed."""
        self._waypoints = waypoints
        self._find()
        if choose is not None:
            self._list.choose(choose)
            self._tell()

    @property
    def listed(self) -> list[Waypoint]:
        """Those that match what is typed, in order."""
        return self._shown

    def action_next_sort(self) -> None:
        """The next order."""
        sorts = list(Sort)
        self._sort = sorts[(sorts.index(self._sort) + 1) % len(sorts)]
        self._find()

    def action_go_to_chosen(self) -> None:
        """Enter."""
        self._intend("go")

    def action_edit_chosen(self) -> None:
        """Name, note and kind."""
        self._intend("edit")

    def action_hold_chosen(self) -> None:
        """Run the board from it."""
        self._intend("hold")

    def action_route_chosen(self) -> None:
        """Append it to the route."""
        self._intend("route")

    def action_delete_chosen(self) -> None:
        """Delete it."""
        self._intend("delete")

    def action_exchange_places(self) -> None:
        """Import or export."""
        self.post_message(PlaceIntent("exchange"))

    def action_undo_delete(self) -> None:
        """Bring back what was deleted last."""
        self.post_message(PlaceIntent("undo"))

    def action_add_place(self) -> None:
        """Type one."""
        self.query_one(PlaceForm).add("A new place, in any notation. Enter saves, Esc leaves.")
        self.shield()

    def action_leave_places(self) -> None:
        """Back to the board."""
        self.dismiss(None)

    def _intend(self, intent: str) -> None:
        if (chosen := self._chosen()) is not None:
            self.post_message(PlaceIntent(intent, chosen))

    @property
    def _list(self) -> PlaceListPane:
        return self.query_one(PlaceListPane)

    def _act(self) -> None:
        self.action_go_to_chosen()

    def _tell(self) -> None:
        self.query_one(PlaceDetailsPane).show(self._list.chosen)

    def _find(self) -> None:
        self._sorted_at = self._board.state.position
        self._shown = listed(self._waypoints, self._find_line.value, self._sort, self._sorted_at)
        self._draw()

    def _draw(self) -> None:
        empty = NOTHING_FOUND if self._waypoints else with_keys(NOTHING_HERE)
        lost = self._sort is Sort.DISTANCE and self._sorted_at is None
        by = "name: no position" if lost else self._sort.value
        aside = f"{len(self._shown)} of {len(self._waypoints)}, by {by}"
        self._list.show(ListView(self._shown, self._board.state, empty), aside)
        self._tell()

    def _take_state(self, state: BoardState) -> None:
        super()._take_state(state)
        if self._sort is Sort.DISTANCE and _moved(self._sorted_at, state.position):
            self._find()
        else:
            self._draw()


def _moved(before: Position | None, now: Position | None) -> bool:
    if before is None or now is None:
        return before is not now
    return distance_m(before, now) > RESORT_M
