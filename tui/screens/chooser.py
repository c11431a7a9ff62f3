"""What to watch: receivers on this computer, the network, recordings, the demo."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from core.errors import UsageError
from core.sources.names import Sort, source_name
from tui.canvas.cells import fitted, one_cell_each
from tui.screens.pick import Choice

NAME_WIDTH = 34


class ChooserScreen(ModalScreen[str | None]):
    """Dismissed with the name of a source as one would type it, None when the user goes back."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]

    def __init__(self, choices: Sequence[Choice], trouble: str = "") -> None:
        """`choices`: sources by name, the last used first; `trouble`: why the last attempt failed."""
        super().__init__()
        self._choices = choices
        self._trouble = trouble

    def compose(self) -> ComposeResult:
        """The list, and a line to type into."""
        with Vertical(classes="sheet"):
            yield Static("What to watch", classes="sheet-title", markup=False)
            yield OptionList(*(Option(_line(choice)) for choice in self._choices), id="places", markup=False)
            yield Input(placeholder="or type: a port, a file, tcp://host:port, udp://:port", id="typed")
            yield Static(
                one_cell_each(self._trouble) or "Enter opens, Tab goes to the line below the list, Esc goes back.",
                id="told",
                markup=False,
            )

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter or a click on the list."""
        event.stop()
        self.dismiss(self._choices[event.option_index].name)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in the line: checked as far as its form goes."""
        event.stop()
        typed = event.value.strip()
        try:
            self.dismiss(_checked(typed) if typed else None)
        except UsageError as error:
            self.query_one("#told", Static).update(one_cell_each(str(error)))


def _checked(typed: str) -> str:
    """The name again. Raises UsageError where it is none that the board can watch."""
    if source_name(typed).sort is Sort.STANDARD_INPUT:
        raise UsageError("the board needs the keyboard: standard input is for `fixboard now --from -`")
    return typed


def _line(choice: Choice) -> Text:
    return Text(f"{fitted(choice.name, NAME_WIDTH):<{NAME_WIDTH}}  {fitted(choice.remark, 34)}", no_wrap=True)
