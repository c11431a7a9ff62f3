"""The way to the target in words and figures, with the cautions that belong to it."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from textual.reactive import reactive

from core.course import CourseTrust
from tui import wording
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.panes.position import labelled, spaced, unmeasured
from tui.state import BoardState

CAUTION = "Not for primary navigation. Watch the way, not the screen."


class GoToPane(RowsPane):
    """Distance, bearing and turn."""

    caption = "Go-to"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        target = self.state.target
        self.aside = Span(
            one_cell_each(target.name)[:24] if target else "no target", Ink.TARGET if target else Ink.MUTED
        )
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Guidance above, the caution below."""
        blocks = [list(_guidance(self.state)), _caution(width)]
        return spaced(blocks, height)


def _caution(width: int) -> list[Row]:
    return [(Span(line, Ink.MUTED),) for line in wrap(CAUTION, max(10, width - 2))]


def _guidance(state: BoardState) -> Iterator[Row]:
    if state.target is None:
        yield (Span("m marks here", Ink.TEXT),)
        yield (Span("g goes to the newest mark", Ink.TEXT),)
        yield (Span("t picks a waypoint", Ink.TEXT),)
        return
    guidance = state.guidance
    if guidance is None:
        yield (Span("no position: no guidance", Ink.ALERT),)
        return
    ink = Ink.TARGET if state.is_current else Ink.STALE
    yield labelled("distance", Span(wording.distance(guidance.distance_m), ink, bold=True))
    bearing = "on the spot" if guidance.bearing_deg is None else state.bearing(guidance.bearing_deg)
    yield labelled("bearing", Span(bearing, ink))
    yield labelled("turn", Span(turn_words(state), ink if guidance.turn_deg is not None else Ink.MUTED))
    if not state.is_current:
        yield (Span("from the last position: not current", Ink.WARN),)
    elif unmeasured(state):
        yield (Span(f"position: {unmeasured(state).lower()}", Ink.WARN),)


def turn_words(state: BoardState) -> str:
    """How to turn, or why that cannot be said."""
    guidance = state.guidance
    if guidance is None or guidance.bearing_deg is None or not state.is_current:
        return wording.UNKNOWN
    if guidance.turn_deg is not None:
        return wording.turn(guidance.turn_deg)
    return "walk on: no sure course" if state.course_trust is CourseTrust.UNSURE else "walk straight first"
