"""A few lines to write in: shown below what is on the screen, gone with Enter or Esc."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input, Static

from tui.canvas.cells import one_cell_each
from tui.messages import FormLeft


class LinesForm(Vertical):
    """Its title is `#PREFIX-title`, its lines are `#PREFIX-NAME`. Override `_submit`."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave as it is", priority=True)]

    def __init__(self, name: str, prefix: str) -> None:
        """`name`: the widget's id. `prefix`: what the ids of its lines begin with."""
        super().__init__(id=name)
        self._prefix = prefix
        self._given: dict[str, tuple[str, str]] = {}
        """By line: what was put in, and what it stands for. Words of strangers may hold what no line can show."""

    @property
    def is_open(self) -> bool:
        """Whether it is shown."""
        return self.has_class("-open")

    def complain(self, text: str) -> None:
        """Say in the title line what is wrong; what was typed stays."""
        self.query_one(f"#{self._prefix}-title", Static).update(one_cell_each(text))

    def close(self) -> None:
        """Hide it."""
        self.remove_class("-open")
        self.screen.remove_class("-writing")
        self.screen.set_focus(None)
        self.post_message(FormLeft())

    def action_leave(self) -> None:
        """What was saved stays as it was saved."""
        self.close()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in any line."""
        event.stop()
        self._submit()

    def _submit(self) -> None:
        """What is written goes up as a message."""
        raise NotImplementedError

    def _open(self, title: str) -> None:
        self.add_class("-open")
        self.screen.add_class("-writing")  # so that no message lies over the lines
        self.complain(title)

    def _line(self, name: str) -> Input:
        return self.query_one(f"#{self._prefix}-{name}", Input)

    def _put(self, name: str, text: str) -> None:
        shown = one_cell_each(text)
        self._given[name] = shown, text
        self._line(name).value = shown

    def _text(self, name: str) -> str:
        """What the line stands for: where nothing was changed in it, what was put in, whatever could be shown of it."""
        written = self._line(name).value
        shown, meant = self._given[name]
        return meant if written == shown else written.strip()
