"""A list with a cursor: only the rows in sight are drawn, so that a hundred thousand cost what twenty do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, Generic, TypeVar

from textual import events
from textual.message import Message

from tui.canvas.grid import Grid
from tui.canvas.inks import Paper
from tui.canvas.rows import Row, put_row, put_words
from tui.canvas.widget import CanvasPane

T = TypeVar("T")


class Chosen(Message):
    """The pointer has chosen a row, or wants it acted on."""

    def __init__(self, *, acts: bool) -> None:
        """`acts`: it was clicked again."""
        super().__init__()
        self.acts = acts


class CursorList(CanvasPane, Generic[T]):
    """One item a row, one of them chosen. Override `row`, and `head` for a line that stays above."""

    heads: ClassVar[int] = 0
    """Rows above the items."""

    def __init__(self, name: str, key: Callable[[T], object]) -> None:
        """`name`: the widget's id. `key`: what makes an item the same one in another list."""
        super().__init__(id=name)
        self._items: Sequence[T] = ()
        self._empty = ""
        self._key = key
        self._cursor = 0
        self._top = 0

    def head(self, width: int) -> Row:
        """What stands above, where `heads` is 1."""
        del width
        return ()

    def row(self, item: T, width: int, *, chosen: bool) -> Row:
        """What one item looks like."""
        raise NotImplementedError

    @property
    def chosen(self) -> T | None:
        """The one under the cursor."""
        return self._items[self._cursor] if self._cursor < len(self._items) else None

    @property
    def empty(self) -> str:
        """What is said where there is nothing to show."""
        return self._empty

    def fill(self, items: Sequence[T], empty: str) -> None:
        """Show these; the cursor stays on its item where that is still there, and that item on its row of the screen.

        Only where the beginning of the list was in sight it stays in sight: the first is what the user came for.
        """
        before, row = self.chosen, self._cursor - self._top
        self._items, self._empty = items, empty
        found = -1 if before is None else self._place_of(self._key(before), -1)
        if found >= 0:
            self._cursor = found
            self._top = max(0, found - row) if self._top else 0
        self._cursor = max(0, min(self._cursor, len(items) - 1))
        self.repaint()

    def first(self) -> None:
        """Put the cursor on the first: what is listed is another matter than before."""
        self._cursor = self._top = 0

    def choose(self, key: object) -> None:
        """Put the cursor on the item of this key, where it is listed."""
        self._cursor = self._place_of(key, self._cursor)
        self.repaint()

    def move(self, by: int) -> None:
        """The cursor so many rows down; stops at both ends."""
        self._cursor = max(0, min(self._cursor + by, len(self._items) - 1))
        self.repaint()

    def page(self) -> int:
        """Items in sight."""
        return max(1, self.content_size.height - 1 - self.heads)

    def paint(self, grid: Grid) -> None:
        """The items around the cursor."""
        if not self._items:
            put_words(grid, self._empty)
            return
        room = max(1, grid.height - self.heads)
        # Where there are more items than rows no row is left blank below the last.
        self._top = max(min(self._top, self._cursor, len(self._items) - room), self._cursor - room + 1, 0)
        if self.heads:
            put_row(grid, 0, self.head(grid.width), margin=0)
        for y, item in enumerate(self._items[self._top : self._top + room], self.heads):
            chosen = self._top + y - self.heads == self._cursor
            if chosen:
                grid.paper(0, y, grid.width, Paper.SELECTED)
            put_row(grid, y, self.row(item, grid.width, chosen=chosen), margin=0)

    def on_click(self, event: events.Click) -> None:
        """One click chooses, the second acts."""
        number = self._top + event.y - 1 - self.heads
        if event.y <= self.heads or not 0 <= number < len(self._items):
            return
        again = number == self._cursor and event.chain > 1
        self._cursor = number
        self.repaint()
        self.post_message(Chosen(acts=again))

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves the cursor."""
        self.move(1)
        self.post_message(Chosen(acts=False))

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves the cursor."""
        self.move(-1)
        self.post_message(Chosen(acts=False))

    def _place_of(self, key: object, otherwise: int) -> int:
        return next((n for n, one in enumerate(self._items) if self._key(one) == key), otherwise)
