"""What happened in this session, the newest first."""

from __future__ import annotations

from textual.reactive import reactive

from core.events import Event, EventKind
from tui import wording
from tui.canvas.cells import fitted
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
KIND = 24


class TimelinePane(RowsPane):
    """One line an event."""

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
        newest = reversed(events[-max(1, height - 1) :])
        return [_heading(), *(_row(event, self.state.now_s, width) for event in newest)]


def _heading() -> Row:
    """Two columns of times stand side by side: which of them is the time of day has to be said."""
    return (Span(f"{'UTC':<10}{'ago':>7}  {'event':<{KIND}}what of it", Ink.MUTED),)


def _row(event: Event, now_s: float, width: int) -> Row:
    clock = event.utc.clock() if event.utc else "no time "
    ago = wording.clock(max(0.0, now_s - event.at_s))
    room = max(0, width - 2 - 10 - 9 - KIND)
    return (
        Span(f"{clock:<10}"),
        Span(f"{ago:>7}  ", Ink.MUTED),
        Span(f"{event.kind.value:<{KIND}}", INKS.get(event.kind, Ink.TEXT)),
        Span(fitted(event.text, room), Ink.MUTED),
    )
