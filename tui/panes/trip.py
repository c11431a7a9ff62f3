"""The trip in figures: the whole of it, the leg under way, and when to turn back."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from textual.reactive import reactive

from core.trip import Totals
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row, RowsPane
from tui.dark import before_dark
from tui.panes.position import labelled, spaced
from tui.state import BoardState

WIDE = 84
"""Width from which trip and leg stand side by side."""


class TripPane(RowsPane):
    """Totals that are honest about what they do not hold, and the way back before dark."""

    caption = "Trip"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        began = self.state.trip.totals.began
        self.aside = Span(f"since {began.clock()[:5]} UTC" if began else "not begun", Ink.MUTED)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Trip, leg, way back."""
        trip = self.state.trip
        blocks = [list(_totals("trip", trip.totals)), list(_leg(self.state)), list(dark_rows(self.state, width))]
        return spaced(blocks, height)


def _leg(state: BoardState) -> Iterator[Row]:
    """Only once there is more than one."""
    trip = state.trip
    if trip.legs:
        yield from _totals(f"leg {len(trip.legs) + 1}", trip.leg)


def _totals(name: str, totals: Totals) -> Iterator[Row]:
    yield labelled(name, Span(wording.distance(totals.distance_m), bold=True), PUSH, *_gaps(totals))
    moving = f"{wording.clock(totals.moving_s)} moving, {wording.clock(totals.stopped_s)} stopped"
    yield labelled("time", Span(moving))
    yield labelled("average", _speed(totals.average_mps), Span("  while moving", Ink.MUTED))
    yield labelled("fastest", _speed(totals.fastest_mps))
    if totals.climb_known:
        yield labelled("up", Span(_range(totals.ascent_m)), Span("   down ", Ink.MUTED), Span(_range(totals.descent_m)))


def _gaps(totals: Totals) -> tuple[Span, ...]:
    if not totals.gaps:
        return ()
    word = "gap" if totals.gaps == 1 else "gaps"
    return (Span(f"{totals.gaps} {word}, {wording.age(totals.gap_s)} not counted", Ink.WARN),)


def _speed(mps: float | None) -> Span:
    return Span(wording.UNKNOWN, Ink.MUTED) if mps is None else Span(wording.speed(mps))


def _range(metres: tuple[float, float]) -> str:
    low, high = sorted(round(value) for value in metres)
    return f"{low} m" if low == high else f"{low} to {high} m"


def dark_rows(state: BoardState, width: int) -> Iterator[Row]:
    """The countdown, what it was made of, and that it decides nothing."""
    found = before_dark(state)
    yield labelled("turn", *_when(found.latest_turn, found.seconds_left))
    for sentence in found.assumptions:
        for line in wrap(sentence, max(20, width - 4)):
            yield (Span(f"  {line}", Ink.MUTED),)


def _when(words: str, seconds_left: float | None) -> tuple[Span, ...]:
    if seconds_left is None:
        return (Span(words, Ink.MUTED),)
    if seconds_left < 0:
        return (Span(f"{words}: {wording.age(-seconds_left)} ago", Ink.ALERT, bold=True),)
    ink = Ink.WARN if seconds_left < 1800 else Ink.TEXT
    return (Span(f"{words}, in {wording.age(seconds_left)}", ink, bold=True),)
