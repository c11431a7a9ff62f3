"""What screens that list things have in common: the list, the chosen one beside it, a line to find in, a form below."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Input

from tui.canvas.palettes import Palette
from tui.canvas.widget import CanvasPane
from tui.messages import FormLeft
from tui.panes.cursor_list import Chosen, CursorList
from tui.panes.lines_form import LinesForm
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.state import BoardState

WALKED = frozenset({"move", "page"})
"""Actions of the cursor, which no table of commands names."""


class LookingOn(Screen[None]):
    """Looks on as the board does: with its state, colours and glyphs."""

    def __init__(self, board: BoardScreen) -> None:
        """`board`: which goes on below this screen."""
        super().__init__()
        self._board = board

    def _watch_board(self) -> None:
        """From now on; what it shows already comes at once."""
        self.watch(self._board, "state", self._take_state)
        self.watch(self._board, "palette", self._take_palette)

    def _take_state(self, state: BoardState) -> None:
        self.query_one(SourceLine).state = state
        self.query_one(VerdictLine).state = state

    def _take_palette(self, palette: Palette) -> None:
        for pane in self.query(CanvasPane):
            pane.palette, pane.glyphs = palette, self._board.glyphs


class ListingScreen(LookingOn):
    """Lists things. Override `_list`, `_tell`, and `_act` for what Enter and a second click do."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012 - declared so by Textual
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
    ]

    def __init__(self, board: BoardScreen) -> None:
        """`board`: whose state, colours and glyphs this screen shares."""
        super().__init__(board)
        # Textual classes a screen by its size only after a first picture, in which panes would stand elsewhere.
        width, height = board.app.size
        self.add_class(_class_for(width, self.HORIZONTAL_BREAKPOINTS))
        self.add_class(_class_for(height, board.app.VERTICAL_BREAKPOINTS or ()))

    def action_move(self, by: int) -> None:
        """The cursor."""
        self._list.move(by)
        self._walked()

    def action_page(self, by: int) -> None:
        """The cursor by as many rows as are seen."""
        self.action_move(by * self._list.page())

    def on_chosen(self, message: Chosen) -> None:
        """A click, or the wheel; a second click acts."""
        message.stop()
        self._walked()
        if message.acts:
            self._act()

    @property
    def _list(self) -> CursorList[Any]:
        raise NotImplementedError

    def _chosen(self) -> Any:
        """The one under the cursor. Where there is none, None: the key that asked says what the list says."""
        if self._list.chosen is None:
            self.notify(self._list.empty, severity="warning", markup=False)
        return self._list.chosen

    def _tell(self) -> None:
        """Show what the list points at in full."""
        raise NotImplementedError

    def _walked(self) -> None:
        """The user has moved the cursor."""
        self._tell()

    def _act(self) -> None:
        """Do what is done with the chosen one most."""


def _class_for(size: int, breakpoints: Iterable[tuple[int, str]]) -> str:
    """The class of the last that this size reaches."""
    return next(name for least, name in sorted(breakpoints, reverse=True) if size >= least)


class FindingScreen(ListingScreen):
    """With a line above the list, `#find`, to find things in it. Override `_find` too."""

    def on_input_changed(self, event: Input.Changed) -> None:
        """Find as the user types."""
        if event.input.id == "find":
            self._find()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in that line acts on the chosen one."""
        if event.input.id == "find":
            event.stop()
            self._act()

    @property
    def _find_line(self) -> Input:
        return self.query_one("#find", Input)

    def _find(self) -> None:
        """List what matches the line."""
        raise NotImplementedError


class WritingScreen(FindingScreen):
    """With a form below, in which the chosen one is written: while that is open all keys are its own."""

    own_actions: ClassVar[frozenset[str]] = frozenset()
    """Of this screen, as its table of commands names them."""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """F8 must not delete what is being named."""
        del parameters
        return not ((action in WALKED or action in self.own_actions) and self.query_one(LinesForm).is_open)

    def on_form_left(self, message: FormLeft) -> None:
        """The keys are the list's again."""
        message.stop()
        self._find_line.disabled = False
        self.refresh_bindings()
        self._find_line.focus()

    def shield(self) -> None:
        """A form is open: only it takes keys."""
        self._find_line.disabled = True
        self.refresh_bindings()
