"""Pages of more rows than fit: as many as there is room for, and a word on how many more there are and which key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, Protocol, runtime_checkable

from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row
from tui.own_keys import with_keys

LEAST_ROOM = 2
"""Rows below which nothing can move: the word on what is missing takes one."""
NO_ROOM = "more on a taller terminal"


@runtime_checkable
class Scrolls(Protocol):
    """A pane that knows how far it can go: only what is drawn does."""

    furthest: int
    """The greatest row that it may begin with; 0: all rows fit."""


class Window(NamedTuple):
    """The rows that are seen."""

    rows: list[Row]
    furthest: int
    """The greatest row that the window may begin with; 0: all rows fit."""


def window(rows: Sequence[Row], height: int, first: int) -> Window:
    """All rows, or those from `first` on, no further than the end; then the word, always in the last row."""
    if len(rows) <= height:
        return Window(list(rows), 0)
    if height < LEAST_ROOM:
        word: Row = (Span(NO_ROOM, Ink.MUTED),)
        return Window([word] if height == 1 else [], 0)
    room = height - 1
    furthest = len(rows) - room
    above = max(0, min(first, furthest))
    return Window([*rows[above : above + room], _word(above, furthest - above)], furthest)


def _word(above: int, below: int) -> Row:
    """Above and below are named with their keys, each where there is anything."""
    parts = [f"{_counted(below)} more below: {{trail_down}}"] if below else []
    parts += [f"{_counted(above)} above: {{trail_up}}"] if above else []
    return (Span(with_keys(", ".join(parts)), Ink.ACCENT),)


def _counted(rows: int) -> str:
    return f"{rows} row" if rows == 1 else f"{rows} rows"
