"""The list of sessions: only the rows in sight are drawn."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events

from core.sessions import Entry
from tui import session_words as words
from tui.canvas.cells import fitted
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, Row, put_row, put_words
from tui.canvas.widget import CanvasPane
from tui.session_messages import SessionIntent

LENGTH_FROM, SQUARE_FROM, QUALITY_FROM, QUALITY_WIDTH = 46, 60, 116, 48
"""Widths of the list from which it has room for the length, for the locator, and for the verdicts."""


class SessionListPane(CanvasPane):
    """One session a row, one of them chosen."""

    caption = "Logbook"

    def __init__(self) -> None:
        super().__init__(id="session-list")
        self._shown: Sequence[Entry] = ()
        self._empty = ""
        self._cursor = 0
        self._top = 0

    @property
    def chosen(self) -> Entry | None:
        """The one under the cursor."""
        return self._shown[self._cursor] if self._cursor < len(self._shown) else None

    def show(self, shown: Sequence[Entry], empty: str, aside: str) -> None:
        """Show these, or `empty`; the cursor stays on its session if that is still there."""
        before = self.chosen
        self._shown, self._empty = shown, empty
        if before is not None:
            self._point_at(before.session.key)
        self._cursor = max(0, min(self._cursor, len(shown) - 1))
        self.aside = Span(aside, Ink.MUTED)
        self.repaint()

    def choose(self, key: str) -> None:
        """Put the cursor on the session of this key."""
        self._point_at(key)
        self.repaint()

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
            put_words(grid, self._empty)
            return
        self._top = max(min(self._top, self._cursor), self._cursor - grid.height + 1, 0)
        for y, entry in enumerate(self._shown[self._top : self._top + grid.height]):
            chosen = self._top + y == self._cursor
            if chosen:
                grid.paper(0, y, grid.width, Paper.SELECTED)
            put_row(grid, y, _row(entry, grid.width, chosen=chosen), margin=0)

    def on_click(self, event: events.Click) -> None:
        """One click chooses, the second plays it."""
        number = self._top + event.y - 1
        if not 0 <= number < len(self._shown):
            return
        again = number == self._cursor and event.chain > 1
        self._cursor = number
        self.repaint()
        self.post_message(SessionIntent("replay" if again else "look", self.chosen))

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves the cursor."""
        self.move(1)

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves the cursor."""
        self.move(-1)

    def _point_at(self, key: str) -> None:
        self._cursor = next((n for n, one in enumerate(self._shown) if one.session.key == key), self._cursor)


def _row(entry: Entry, width: int, *, chosen: bool) -> Row:
    right = [Span(f"{words.way(entry):>9} ", Ink.TEXT)]
    if width >= LENGTH_FROM:
        right.insert(0, Span(f"{words.length(entry):>9}", Ink.MUTED))
    if width >= SQUARE_FROM:
        right.append(Span(f" {words.square(entry):<14}", Ink.TEXT))
    if width >= QUALITY_FROM:
        right.append(Span(f"{fitted(words.quality(entry), QUALITY_WIDTH):<{QUALITY_WIDTH + 1}}", _ink(entry)))
    head = f"{'>' if chosen else ' '} {words.when(entry):<16}"
    room = width - len(head) - sum(len(span.text) for span in right) - 3
    return (Span(head, Ink.TEXT, bold=chosen), Span(f"  {_called(entry, room)}", _name_ink(entry)), PUSH, *right)


def _called(entry: Entry, room: int) -> str:
    """Never by colour alone: what is being recorded, or wrong, is said in words."""
    mark = "rec: " if entry.session.growing else "bad: " if entry.summary and entry.summary.problem else ""
    return fitted(f"{mark}{entry.short_name}", max(0, room))


def _name_ink(entry: Entry) -> Ink:
    if entry.session.growing:
        return Ink.ACCENT
    return _ink(entry) if entry.summary and entry.summary.problem else Ink.TEXT


def _ink(entry: Entry) -> Ink:
    return Ink.WARN if entry.summary and entry.summary.problem else Ink.MUTED
