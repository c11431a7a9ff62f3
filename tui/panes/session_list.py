"""The list of recorded sessions: when, under which name, how long, how far, how well."""

from __future__ import annotations

from collections.abc import Sequence

from core.sessions import Entry
from tui import session_words as words
from tui.canvas.cells import fitted
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row
from tui.panes.cursor_list import CursorList

LENGTH_FROM, SQUARE_FROM, QUALITY_FROM, QUALITY_WIDTH = 46, 60, 116, 48
"""Widths of the list from which it has room for the length, for the locator, and for the verdicts."""


class SessionListPane(CursorList[Entry]):
    """One session a row."""

    caption = "Logbook"
    heads = 1

    def __init__(self) -> None:
        super().__init__("session-list", lambda entry: entry.session.key)

    def show(self, shown: Sequence[Entry], empty: str, aside: str) -> None:
        """Show these, or `empty`."""
        self.aside = Span(aside, Ink.MUTED)
        self.fill(shown, empty)

    def head(self, width: int) -> Row:
        """What the columns are, and by which clock."""
        right = [f"{'distance':>9} "]
        if width >= LENGTH_FROM:
            right.insert(0, f"{'length':>9}")
        if width >= SQUARE_FROM:
            right.append(f" {'locator':<14}")
        if width >= QUALITY_FROM:
            right.append(f"{'how good the fix was':<{QUALITY_WIDTH + 1}}")
        return (Span(f"  {'begins, UTC':<16}  name", Ink.MUTED), PUSH, Span("".join(right), Ink.MUTED))

    def row(self, item: Entry, width: int, *, chosen: bool) -> Row:
        """As much as there is room for; the name takes what is left."""
        right = [Span(f"{words.way(item):>9} ", Ink.TEXT)]
        if width >= LENGTH_FROM:
            right.insert(0, Span(f"{words.length(item):>9}", Ink.MUTED))
        if width >= SQUARE_FROM:
            right.append(Span(f" {words.square(item):<14}", Ink.TEXT))
        if width >= QUALITY_FROM:
            right.append(Span(f"{fitted(words.quality(item), QUALITY_WIDTH):<{QUALITY_WIDTH + 1}}", _ink(item)))
        head = f"{'>' if chosen else ' '} {words.when(item):<16}"
        room = width - len(head) - sum(len(span.text) for span in right) - 3
        return (Span(head, Ink.TEXT, bold=chosen), Span(f"  {_called(item, room)}", _name_ink(item)), PUSH, *right)


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
