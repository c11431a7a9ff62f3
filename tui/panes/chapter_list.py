"""The chapters of a recording as a list, and the chosen one in full."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from core.chapter_file import length_text
from core.chapter_times import Placed
from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row, RowsPane
from tui.own_keys import with_keys
from tui.panes.cursor_list import CursorList
from tui.panes.position import labelled

EMPTY = "No chapter yet: {new_chapter} makes one here; in the shell, fixboard chapters proposes some."
SCENE_FROM = 60
"""Width from which the rows have room for page, mask and pace."""


class ChapterListPane(CursorList[Placed]):
    """One chapter a row, in the order of time; the one that plays is marked."""

    caption = "Chapters"

    def __init__(self) -> None:
        super().__init__("chapter-list", lambda placed: placed.entry)
        self._playing: Placed | None = None
        self._at_s: float | None = None

    def show(self, shown: Sequence[Placed], aside: str) -> None:
        """Show these."""
        self.aside = Span(aside, Ink.MUTED)
        self.fill(shown, with_keys(EMPTY))
        if self._at_s is not None:
            self.play(self._at_s)

    def play(self, at_s: float) -> None:
        """Where the recording plays: that chapter is marked."""
        self._at_s = at_s
        begun = [one for one in self._items if one.at_s is not None and one.at_s <= at_s]
        playing = begun[-1] if begun else None
        if playing != self._playing:
            self._playing = playing
            self.repaint()

    @property
    def playing(self) -> Placed | None:
        """The chapter that is played."""
        return self._playing

    def row(self, item: Placed, width: int, *, chosen: bool) -> Row:
        """Number, time and title; what it sets where there is room."""
        plays = item == self._playing
        number = next(n for n, one in enumerate(self._items, 1) if one is item)
        at = "?" if item.at_s is None else length_text(float(int(item.at_s)))
        head = f"{'>' if chosen else ' '}{number:>3} {at:>8} {'*' if plays else ' '} "
        right = (PUSH, Span(f"{scene(item)} ", Ink.MUTED)) if width >= SCENE_FROM and scene(item) else ()
        room = width - len(head) - sum(len(span.text) for span in right) - 1
        title = Span(fitted(item.entry.title, max(0, room)), Ink.ACCENT if plays else Ink.TEXT, bold=plays)
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
