"""Pick one of a list of names."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, NamedTuple

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from tui.canvas.cells import fitted, one_cell_each

NAME_WIDTH = 40


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
                yield OptionList(*(Option(_line(choice)) for choice in self._choices), id="places", markup=False)
            else:
                yield Static(one_cell_each(self._empty), markup=False)
            yield Static("Enter picks, Esc goes back.", markup=False)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter or a click."""
        event.stop()
        self.dismiss(event.option_index)


def _line(choice: Choice) -> Text:
    return Text(f"{fitted(choice.name, NAME_WIDTH):<{NAME_WIDTH}}  {one_cell_each(choice.remark)}", no_wrap=True)
