"""One guide, to be read beside the board."""

from __future__ import annotations

import re
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.guides import Guide
from tui.screens.hanging import hanging, room_in_sheet


class GuideScreen(ModalScreen[None]):
    """A sheet, scrolled with the arrow keys."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,f1,question_mark,h,enter", "app.pop_screen", "Back")]

    def __init__(self, guide: Guide) -> None:
        """`guide`: which one."""
        super().__init__()
        self._guide = guide

    def compose(self) -> ComposeResult:
        """The way out stands first: the end may be below the screen."""
        with VerticalScroll(classes="sheet"):
            yield Static(
                f"{self._guide.title} (Up and Down scroll, Esc goes back)", classes="sheet-title", markup=False
            )
            yield Static(id="guide")

    def on_resize(self, event: events.Resize) -> None:
        """Wrap it anew; also when it is first shown."""
        self.query_one("#guide", Static).update(guide_text(self._guide, room_in_sheet(event.size.width)))


def guide_text(guide: Guide, width: int) -> Text:
    """At most `width` columns wide, steps hanging; what stands between backticks is bold, without them."""
    wrapped = "\n".join(_wrapped(paragraph, width) for paragraph in _paragraphs(guide.lines))
    text = Text()
    for number, part in enumerate(wrapped.split("`")):
        text.append(part, "bold" if number % 2 else "")
    return text


def _paragraphs(lines: list[str]) -> list[str]:
    """A line that is indented further than the step it belongs to goes on with it."""
    found: list[str] = []
    for line in lines:
        if line.startswith("    ") and found:
            found[-1] = f"{found[-1]} {line.strip()}"
        else:
            found.append(line)
    return found


def _wrapped(paragraph: str, width: int) -> str:
    match = re.match(r" +(?:\d\.|-) ", paragraph)
    return hanging(paragraph, width, len(match[0]) if match else 0)
