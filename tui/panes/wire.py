"""The raw sentences as they come, what of them was refused, and why."""

from __future__ import annotations

from textual.reactive import reactive

from core.model import Counts, WireLine
from core.nmea.framing import Rejected
from tui.canvas.cells import fitted
from tui.canvas.grid import Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, Row, RowsPane
from tui.state import BoardState

SHORTEST_INTERVAL_S = 0.5
"""Scrolling text is most of what a board sends to its terminal; nobody reads it faster than this."""


class WirePane(RowsPane):
    """The newest sentences, the newest last."""

    caption = "Wire"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id)
        self._lines: tuple[WireLine, ...] = ()
        self._due = False

    def on_mount(self) -> None:
        """Repaint by a slow timer, however fast the sentences come."""
        self.set_interval(SHORTEST_INTERVAL_S, self.catch_up)
        self._due = True

    def watch_state(self) -> None:
        """Take the new state; it is drawn when its turn comes."""
        self._due = True

    def catch_up(self) -> None:
        """Draw what is new, if anything is."""
        if self._due:
            self._due = False
            state = self.state
            self.aside = Span(_counts(state.snapshot.counts, state.wire_paused), Ink.MUTED)
            self._lines = state.wire_held if state.wire_paused else state.snapshot.wire
            self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """The newest lines that fit, or those about the chosen one; a refusal stands beside its sentence."""
        if height <= 0:
            return []
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
    return f"{'held still  ' if held else ''}{good} taken  {rejected} refused"
