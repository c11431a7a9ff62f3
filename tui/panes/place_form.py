"""A few lines to name a place in: shown below what is on the screen, gone with Enter or Esc."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import Input, Static

from core.marks import KINDS
from core.waypoint import NAME_LIMIT, NOTE_LIMIT, Waypoint
from tui.canvas.cells import one_cell_each
from tui.messages import FormLeft, PlaceWritten


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


class PlaceForm(Vertical):
    """Name, note and kind of a place; of a new one the place itself first."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave as it is", priority=True)]

    def __init__(self) -> None:
        super().__init__(id="place-form")
        self._old: Waypoint | None = None
        self._adding = False
        self._given: dict[str, tuple[str, str]] = {}
        """By line: what was put in, and what it stands for. Names of strangers may hold what no line can show."""

    def compose(self) -> ComposeResult:
        """A title, three lines, a choice."""
        yield Static("", id="form-title", markup=False)
        yield Input(placeholder="place, in any notation", id="form-place", compact=True)
        yield Input(placeholder="name", id="form-name", max_length=NAME_LIMIT, compact=True)
        yield Input(placeholder="note", id="form-note", max_length=NOTE_LIMIT, compact=True)
        yield KindChoice()

    @property
    def is_open(self) -> bool:
        """Whether it is shown."""
        return self.has_class("-open")

    def edit(self, waypoint: Waypoint, title: str) -> None:
        """Show it for a waypoint that is saved already."""
        self._old, self._adding = waypoint, False
        self._open(title, waypoint.name, waypoint.note, waypoint.kind)
        self.query_one("#form-name", Input).focus()

    def add(self, title: str) -> None:
        """Show it for a place that is to be typed."""
        self._old, self._adding = None, True
        self._open(title, "", "", "")
        self.query_one("#form-place", Input).focus()

    def complain(self, text: str) -> None:
        """Say in the title line what is wrong; what was typed stays."""
        self.query_one("#form-title", Static).update(one_cell_each(text))

    def close(self) -> None:
        """Hide it."""
        self.remove_class("-open")
        self.screen.set_focus(None)
        self.post_message(FormLeft())

    def action_leave(self) -> None:
        """What was saved stays as it was saved."""
        self.close()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in any line."""
        event.stop()
        self._submit()

    def on_kind_choice_submitted(self, event: KindChoice.Submitted) -> None:
        """Enter on the kind."""
        event.stop()
        self._submit()

    def _submit(self) -> None:
        self.post_message(
            PlaceWritten(self._old, self._text("place"), self._text("name"), self._text("note"), self._kind().kind)
        )

    def _open(self, title: str, name: str, note: str, kind: str) -> None:
        self.set_class(self._adding, "-adding")
        self.add_class("-open")
        self.query_one("#form-title", Static).update(one_cell_each(title))
        for line, text in (("place", ""), ("name", name), ("note", note)):
            self._given[line] = one_cell_each(text), text
            self.query_one(f"#form-{line}", Input).value = self._given[line][0]
        self._kind().begin(kind)

    def _text(self, line: str) -> str:
        written = self.query_one(f"#form-{line}", Input).value
        shown, meant = self._given[line]
        return meant if written == shown else written.strip()

    def _kind(self) -> KindChoice:
        return self.query_one(KindChoice)
