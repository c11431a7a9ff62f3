"""A few lines to name a place in: shown below what is on the screen, gone with Enter or Esc."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Input, Static

from core.marks import KINDS
from core.waypoint import NAME_LIMIT, NOTE_LIMIT, Waypoint
from tui.canvas.cells import one_cell_each
from tui.messages import PlaceWritten
from tui.panes.lines_form import LinesForm


class KindChoice(Static, can_focus=True):
    """One of the kinds, changed with the arrow keys."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "turn(-1)", "Kind before", show=False),
        Binding("right,space", "turn(1)", "Next kind", show=False),
        Binding("enter", "submit", "Save", show=False),
    ]

    class Submitted(Message):
        """Enter was pressed here."""

    def __init__(self) -> None:
        super().__init__(markup=False)
        self._kinds: list[str] = ["", *KINDS]
        self.kind = ""

    def begin(self, kind: str) -> None:
        """Start with this one; none, and one that is not ours, are kept in the choice."""
        self._kinds = ["", *KINDS] if kind in {"", *KINDS} else [kind, "", *KINDS]
        self._set(kind)

    def action_turn(self, by: int) -> None:
        """The next, or the one before."""
        self._set(self._kinds[(self._kinds.index(self.kind) + by) % len(self._kinds)])

    def action_submit(self) -> None:
        """As Enter in a line of text."""
        self.post_message(self.Submitted())

    def _set(self, kind: str) -> None:
        self.kind = kind
        self.update(f" kind  < {one_cell_each(kind) or 'none'} >   Left and Right change it")


class PlaceForm(LinesForm):
    """Name, note and kind of a place; of a new one the place itself first."""

    def __init__(self) -> None:
        super().__init__("place-form", "form")
        self._old: Waypoint | None = None
        self._adding = False

    def compose(self) -> ComposeResult:
        """A title, three lines, a choice."""
        yield Static("", id="form-title", markup=False)
        yield Input(placeholder="place, in any notation", id="form-place", compact=True)
        yield Input(placeholder="name", id="form-name", max_length=NAME_LIMIT, compact=True)
        yield Input(placeholder="note", id="form-note", max_length=NOTE_LIMIT, compact=True)
        yield KindChoice()

    def edit(self, waypoint: Waypoint, title: str) -> None:
        """Show it for a waypoint that is saved already."""
        self._old, self._adding = waypoint, False
        self._fill(title, waypoint.name, waypoint.note, waypoint.kind)
        self._line("name").focus()

    def add(self, title: str) -> None:
        """Show it for a place that is to be typed."""
        self._old, self._adding = None, True
        self._fill(title, "", "", "")
        self._line("place").focus()

    def on_kind_choice_submitted(self, event: KindChoice.Submitted) -> None:
        """Enter on the kind."""
        event.stop()
        self._submit()

    def _submit(self) -> None:
        self.post_message(
            PlaceWritten(self._old, self._text("place"), self._text("name"), self._text("note"), self._kind().kind)
        )

    def _fill(self, title: str, name: str, note: str, kind: str) -> None:
        self.set_class(self._adding, "-adding")
        self._open(title)
        for line, text in (("place", ""), ("name", name), ("note", note)):
            self._put(line, text)
        self._kind().begin(kind)

    def _kind(self) -> KindChoice:
        return self.query_one(KindChoice)
