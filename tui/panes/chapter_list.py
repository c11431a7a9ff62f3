"""The chapters of a recording as a list, and the chosen one in full."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from textual import events

from core.chapter_file import length_text
from core.chapter_times import Placed
from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, Row, RowsPane, put_row
from tui.canvas.widget import CanvasPane
from tui.chapter_messages import ChapterIntent
from tui.panes.position import labelled

EMPTY = "No chapter yet: F4 makes one here; in the shell, fixboard chapters proposes some."
SCENE_FROM = 60
"""Width from which the rows have room for page, mask and pace."""


class ChapterListPane(CanvasPane):
    """One chapter a row, in the order of time, one of them chosen."""

    caption = "Chapters"

    def __init__(self) -> None:
        super().__init__(id="chapter-list")
        self._shown: Sequence[Placed] = ()
        self._cursor = self._top = 0
        self._playing: Placed | None = None

    @property
    def chosen(self) -> Placed | None:
        """The one under the cursor."""
        return self._shown[self._cursor] if self._cursor < len(self._shown) else None

    def show(self, shown: Sequence[Placed], aside: str) -> None:
        """Show these; the cursor keeps its row."""
        self._shown = shown
        self._cursor = max(0, min(self._cursor, len(shown) - 1))
        self.aside = Span(aside, Ink.MUTED)
        self.repaint()

    def choose(self, wanted: Placed) -> None:
        """Put the cursor on this one."""
        if wanted in self._shown:
            self._cursor = self._shown.index(wanted)
        self.repaint()

    def play(self, at_s: float) -> None:
        """Where the recording plays: that chapter is marked."""
        begun = [one for one in self._shown if one.at_s is not None and one.at_s <= at_s]
        playing = begun[-1] if begun else None
        if playing != self._playing:
            self._playing = playing
            self.repaint()

    @property
    def playing(self) -> Placed | None:
        """The chapter that is played."""
        return self._playing

    def move(self, by: int) -> None:
        """The cursor so many rows down; stops at both ends."""
        self._cursor = max(0, min(self._cursor + by, len(self._shown) - 1))
        self.repaint()

    def page(self) -> int:
        """Rows in sight."""
        return max(1, self.content_size.height - 1)

    def paint(self, grid: Grid) -> None:
        """The rows around the cursor."""
        if not self._shown:
            for y, line in enumerate(wrap(EMPTY, max(1, grid.width - 2))):
                put_row(grid, y, (Span(line, Ink.MUTED),))
            return
        self._top = max(min(self._top, self._cursor), self._cursor - grid.height + 1, 0)
        for y, one in enumerate(self._shown[self._top : self._top + grid.height]):
            number = self._top + y
            if number == self._cursor:
                grid.paper(0, y, grid.width, Paper.SELECTED)
            put_row(grid, y, self._line(number, one, grid.width), margin=0)

    def on_click(self, event: events.Click) -> None:
        """One click chooses, the second goes there."""
        number = self._top + event.y - 1
        if not 0 <= number < len(self._shown):
            return
        again = number == self._cursor and event.chain > 1
        self._cursor = number
        self.repaint()
        self.post_message(ChapterIntent("go" if again else "look", self.chosen))

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves the cursor."""
        self.move(1)

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves the cursor."""
        self.move(-1)

    def _line(self, number: int, one: Placed, width: int) -> Row:
        chosen, plays = number == self._cursor, one == self._playing
        at = "?" if one.at_s is None else length_text(float(int(one.at_s)))
        head = f"{'>' if chosen else ' '}{number + 1:>3} {at:>8} {'*' if plays else ' '} "
        right = (PUSH, Span(f"{scene(one)} ", Ink.MUTED)) if width >= SCENE_FROM and scene(one) else ()
        room = width - len(head) - sum(len(span.text) for span in right) - 1
        title = Span(fitted(one.entry.title, max(0, room)), Ink.ACCENT if plays else Ink.TEXT, bold=plays)
        return (Span(head, Ink.TEXT, bold=chosen), title, *right)


class ChapterDetailsPane(RowsPane):
    """The chapter under the cursor."""

    caption = "Chosen"

    def __init__(self) -> None:
        super().__init__(id="chapter-details")
        self._placed: Placed | None = None

    def show(self, placed: Placed | None) -> None:
        """Show this one."""
        if placed != self._placed:
            self._placed = placed
            self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Title, words, when, and what it sets."""
        one = self._placed
        if one is None:
            return []
        words = wrap(one_cell_each(one.entry.words), max(10, width - 2))
        sets = [labelled(name, Span(text)) for name, text in _sets(one) if text]
        room = max(1, height - 2 - len(sets))
        return [
            (Span(one.entry.title, Ink.TITLE, bold=True),),
            *((Span(line),) for line in words[:room]),
            labelled(
                "at", Span(str(one.entry.when)), Span("" if one.at_s is not None else "  not found yet", Ink.WARN)
            ),
            *sets,
        ]


def scene(one: Placed) -> str:
    """What it sets, in short."""
    return "  ".join(f"{name} {text}" if name != "page" else text for name, text in _sets(one) if text)


def _sets(one: Placed) -> tuple[tuple[str, str], ...]:
    entry = one.entry
    mask = "" if entry.mask_deg is None else f"{entry.mask_deg:g}°"
    pace = "" if entry.pace is None else f"{entry.pace:g}x"
    return (("page", entry.page), ("mask", mask), ("pace", pace))
