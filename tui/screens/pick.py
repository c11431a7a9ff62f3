"""Pick one of a list of names."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import ClassVar, NamedTuple

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from tui.canvas.cells import fitted, one_cell_each

NAME_WIDTH, LINE_WIDTH = 40, 68
"""The widest column of names; what a sheet holds in a line at 80 columns."""


class Choice(NamedTuple):
    """A line of the list."""

    name: str
    remark: str


class PickScreen(ModalScreen[int | None]):
    """Dismissed with the number of the choice, None when the user goes back."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "dismiss(None)", "Back")]

    def __init__(self, title: str, choices: Sequence[Choice], empty: str) -> None:
        """`empty`: what to say, and to do, when there is nothing to choose from."""
        super().__init__()
        self._title = title
        self._choices = choices
        self._empty = empty

    def compose(self) -> ComposeResult:
        """The list, or why there is none."""
        with Vertical(classes="sheet"):
            yield Static(one_cell_each(self._title), classes="sheet-title", markup=False)
            if self._choices:
                width = min(NAME_WIDTH, max(len(choice.name) for choice in self._choices))
                lines = (Option(_line(choice, width)) for choice in self._choices)
                yield OptionList(*lines, id="places", markup=False)
            else:
                yield Static(one_cell_each(self._empty), markup=False)
            yield Static("Enter picks, Esc goes back.", markup=False)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter or a click."""
        event.stop()
        self.dismiss(event.option_index)


def _line(choice: Choice, width: int) -> Text:
    """Name and remark in columns; a long remark goes on below its own beginning."""
    remark = f"\n{'':<{width + 2}}".join(wrap(one_cell_each(choice.remark), LINE_WIDTH - width - 2))
    return Text(f"{fitted(choice.name, width):<{width}}  {remark}", no_wrap=True)
