"""Why the verdict is what it is: every rule, what it found, from where on it allows how much, and who says so."""

from __future__ import annotations

from textwrap import wrap

from textual.reactive import reactive

from core.trust import Judged, Verdict
from core.units import in_use
from tui import wording
from tui.canvas.cells import fitted
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.panes.scrolling import window
from tui.panes.verdict_line import INKS
from tui.state import BoardState

NAME, VALUE, ALLOWS = 20, 14, 10
"""Column widths; the threshold takes the rest."""


class WhyPane(RowsPane):
    """The table of rules."""

    caption = "Why"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)
    furthest = 0
    """The greatest row that it can begin with, as drawn last."""

    def watch_state(self) -> None:
        """Draw the new state."""
        self.aside = Span("an estimate, not a promise", Ink.MUTED)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """As many of them as fit."""
        seen, self.furthest = window(self._all_rows(width, height), height, self.state.first_row)
        return seen

    def _all_rows(self, width: int, height: int) -> list[Row]:
        """Error first, then the rules that hold the verdict down, then the others; sources where there is room."""
        if self.state.is_held:
            words = "  a saved place, not a measurement: there is no verdict"
            return [(Span("HELD PLACE", Ink.WARN, bold=True), Span(words))]
        ordered = sorted(self.state.judged, key=lambda one: one.look.allows)
        if not ordered:
            return [*_error_rows(self.state, width), (), (Span("no rule has anything to look at yet", Ink.MUTED),)]
        head = [*_error_rows(self.state, width), (), _heading()]
        with_sources = len(head) + 2 * len(ordered) <= height and width >= 90
        return [*head, *(row for judged in ordered for row in _rule_rows(judged, width, with_source=with_sources))]


def _error_rows(state: BoardState, width: int) -> list[Row]:
    error = state.snapshot.trust.error
    if error.horizontal_m is None:
        return [(Span("95 % error", Ink.MUTED), Span("  cannot be estimated", Ink.TEXT))]
    vertical = "" if error.vertical_m is None else f", height {wording.metres(error.vertical_m)}"
    figures = f"  {wording.metres(error.horizontal_m)} on the ground{vertical}"
    basis = in_use().own_lengths(error.basis)
    words = f"estimated from {basis}; reflections, wrong datum and interference are not in it"
    return [
        (Span("95 % error", Ink.MUTED), Span(figures)),
        *((Span(line, Ink.MUTED),) for line in wrap(words, max(10, width - 2))),
    ]


def _heading() -> Row:
    return (Span(f"{'rule':<{NAME}}{'found':<{VALUE}}{'allows':<{ALLOWS}}thresholds", Ink.MUTED),)


def _rule_rows(judged: Judged, width: int, *, with_source: bool) -> list[Row]:
    """With all of its thresholds, over as many rows as they take: half a figure would be another threshold."""
    rule, look = judged
    ink = INKS[look.allows] if look.allows < Verdict.FIRM else Ink.TEXT
    room = max(0, width - NAME - VALUE - ALLOWS - 2)
    thresholds = in_use().own_lengths(rule.thresholds)
    value = in_use().own_lengths(look.value)  # it may have been looked at before the user's units were others
    lines = wrap(thresholds, max(10, room))
    row = (
        Span(f"{fitted(rule.name, NAME - 1):<{NAME}}", Ink.TEXT),
        Span(f"{fitted(value, VALUE - 1):<{VALUE}}", ink),
        Span(f"{look.allows.words:<{ALLOWS}}", ink),
        Span(lines[0], Ink.MUTED),
    )
    more = [(Span(f"{'':<{NAME + VALUE + ALLOWS}}{line}", Ink.MUTED),) for line in lines[1:]]
    return [row, *more, *_source_rows(rule.source, width - NAME - 2)] if with_source else [row, *more]


def _source_rows(source: str, room: int) -> list[Row]:
    return [(Span(f"{'':<{NAME}}{line}", Ink.MUTED),) for line in wrap(source, max(10, room))]
