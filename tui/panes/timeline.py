"""What happened in this session, the newest first."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from textual.reactive import reactive

from core.events import Event, EventKind
from tui import wording
from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.state import BoardState

INKS = {
    EventKind.FIRST_FIX: Ink.GOOD,
    EventKind.REGAINED: Ink.GOOD,
    EventKind.LOST: Ink.ALERT,
    EventKind.JUMP: Ink.WARN,
}
KIND, BEFORE = 24, 19
"""Columns of the kind of event, and of both times before it."""
LEAST_WORDS = 30
"""Columns in which words are broken into lines; in less they would be a column of scraps, and are cut."""


class TimelinePane(RowsPane):
    """One line an event, more where its words are long."""

    caption = "Events"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        self.aside = Span(f"{len(self.state.snapshot.events)} so far, the newest first", Ink.MUTED)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """As many as fit."""
        events = self.state.snapshot.events
        if not events:
            return [(Span("nothing has happened yet", Ink.MUTED),)]
        found = [_heading()]
        for event in reversed(events[-max(1, height - 1) :]):
            found += _rows(event, self.state.now_s, (width, height - len(found)))
            if len(found) >= height:
                break
        return found


def _heading() -> Row:
    """Two columns of times stand side by side: which of them is the time of day has to be said."""
    return (Span(f"{'UTC':<10}{'ago':>7}  {'event':<{KIND}}what of it", Ink.MUTED),)


def _rows(event: Event, now_s: float, room: tuple[int, int]) -> Iterator[Row]:
    """Within so many columns and rows: the words in full if they fit, since the reason stands at their end."""
    clock = event.utc.clock() if event.utc else "no time "
    ago = wording.clock(max(0.0, now_s - event.at_s))
    wide = max(0, room[0] - 2 - BEFORE - KIND)
    lines = wrap(one_cell_each(event.text), max(LEAST_WORDS, wide)) or [""]
    if wide < LEAST_WORDS or len(lines) > room[1]:
        lines = [fitted(event.text, wide)]
    yield (
        Span(f"{clock:<10}"),
        Span(f"{ago:>7}  ", Ink.MUTED),
        Span(f"{event.kind.value:<{KIND}}", INKS.get(event.kind, Ink.TEXT)),
        Span(lines[0], Ink.MUTED),
    )
    for line in lines[1:]:
        yield (Span(" " * (BEFORE + KIND)), Span(line, Ink.MUTED))
