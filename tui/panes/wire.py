"""The raw sentences as they come, what of them was refused, and why."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

from textual.reactive import reactive
from textual.timer import Timer

from core.model import Counts, WireLine
from core.nmea.framing import Rejected
from tui.canvas.cells import fitted
from tui.canvas.frame import frame
from tui.canvas.grid import Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, Row, RowsPane
from tui.own_keys import key_of
from tui.state import BoardState

SHORTEST_INTERVAL_S = 0.5
"""Scrolling text is most of what a board sends to its terminal; nobody reads it faster than this."""


class WirePane(RowsPane):
    """The newest sentences, the newest last."""

    caption = "Wire"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id)
        self.clock: Callable[[], float] = monotonic
        self._lines: tuple[WireLine, ...] = ()
        self._due = False
        self._drawn_s = -SHORTEST_INTERVAL_S
        self._slow: Timer | None = None

    def on_mount(self) -> None:
        """What came too soon after the last is drawn by a slow timer."""
        self._slow = self.set_interval(SHORTEST_INTERVAL_S, self._catch_up_if_due)
        self._due = True

    def watch_state(self) -> None:
        """Draw the new state with the other panes, if its turn has come."""
        self._due = True
        self._rest_or_not()
        if self.clock() - self._drawn_s >= SHORTEST_INTERVAL_S:
            self.catch_up()

    def catch_up(self) -> None:
        """Draw what is new, if anything is."""
        if self._due:
            self._due, self._drawn_s = False, self.clock()
            state = self.state
            self.aside = Span(_counts(state.snapshot.counts, state.wire_paused), Ink.MUTED)
            self._lines = state.wire_held if state.wire_paused else state.snapshot.wire
            self.repaint()

    def _catch_up_if_due(self) -> None:
        if self._due:
            with frame(self.app):
                self.catch_up()

    def _rest_or_not(self) -> None:
        """While power is saved states come once a second: no timer has anything to do."""
        if self._slow is not None and self.state.is_saving:
            self._slow.pause()
        elif self._slow is not None:
            self._slow.resume()

    def rows(self, width: int, height: int) -> list[Row]:
        """The newest lines that fit, or those about the chosen one; a refusal stands beside its sentence."""
        if height <= 0:
            return []
        if not self._lines:
            held = self.state.is_held
            return [(Span("a held place sends no sentences" if held else "no sentence has come yet", Ink.MUTED),)]
        if not self.state.wire_paused:
            return [_row(line, width) for line in self._lines[-height:]]
        at = self.state.wire_at
        first = max(0, min(at - height // 2, len(self._lines) - height))
        return [
            _chosen_or_not(line, width, first + n == at) for n, line in enumerate(self._lines[first : first + height])
        ]


def _chosen_or_not(line: WireLine, width: int, is_chosen: bool) -> Row:
    """A mark as well as paper: colour is never the only cue."""
    row = _row(line, width - 2)
    if not is_chosen:
        return (Span("  "), *row)
    lit = [span if span is PUSH else span._replace(paper=Paper.SELECTED) for span in row]
    return (Span("> ", Ink.ACCENT, bold=True, paper=Paper.SELECTED), *lit)


def _row(line: WireLine, width: int) -> Row:
    if not isinstance(line, Rejected):
        return (Span(line),)
    reason = f"{line.reason.value}: {line.detail}"
    room = max(8, width - len(reason) - 4)
    return (Span(fitted(line.text, room), Ink.WARN), PUSH, Span(reason, Ink.WARN))


def _counts(counts: Counts, held: bool) -> str:
    rejected = sum(counts.rejected.values())
    good = counts.verified + counts.unverified
    # With the key that ends it: the choice of a sentence holds them too, and days later nobody knows which key did.
    still = f"{key_of('pause_wire')} lets it run  held still  " if held else ""
    return f"{still}{good} taken  {rejected} refused"
