"""The trip in figures: the whole of it, the leg under way, and when to turn back."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from textual.reactive import reactive

from core.before_dark import LAST_WORD
from core.fix import Utc
from core.trip import Totals
from core.units import in_use
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row, RowsPane
from tui.dark import before_dark
from tui.panes.position import labelled, spaced
from tui.panes.scrolling import window
from tui.state import BoardState

LEGS_SHOWN = 4
"""Of those that are over, the newest."""
NOT_BEGUN = "nothing counted yet: it begins with a usable fix"
WANDERED = "below the average: positions wander"
"""The way is too long then: between tall houses, or in a trip kept by a release that counted positions alone."""
HELD_TRIP = "none: a held place does not move"
HELD_BACK = "not from a held place"


class TripPane(RowsPane):
    """Totals that are honest about what they do not hold, and the way back before dark."""

    caption = "Trip"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)
    furthest = 0
    """The greatest row that it can begin with, as drawn last."""

    def watch_state(self) -> None:
        """Draw the new state."""
        began = self.state.trip.totals.began
        self.aside = Span(_since(began) if began else "not begun", Ink.MUTED)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Trip, legs, way back; what decides about the way back stands before what it was made of."""
        trip = self.state.trip
        nothing = HELD_TRIP if self.state.is_held else NOT_BEGUN
        blocks = (
            list(_totals("trip", trip.totals, nothing)),
            list(_legs(self.state)),
            list(_turn_rows(self.state)),
            list(_made_of(self.state, width)),
        )
        all_rows = spaced([block for block in blocks if block], height)
        seen, self.furthest = window(all_rows, height, self.state.first_row)
        return seen


def _since(began: Utc) -> str:
    return f"since {began.day or ''} {began.clock()[:5]} UTC"


def _legs(state: BoardState) -> Iterator[Row]:
    """A line each, the one under way last; none before the first has ended."""
    over = state.trip.legs
    for number, leg in list(enumerate(over, 1))[-LEGS_SHOWN:]:
        yield _leg_row(number, leg)
    if over:
        yield _leg_row(len(over) + 1, state.trip.leg)


def _leg_row(number: int, leg: Totals) -> Row:
    climb = f"  up {_range(leg.ascent_m)}" if leg.climb_known else ""
    words = f"{wording.distance(leg.distance_m)}  {wording.clock(leg.moving_s)} moving{climb}"
    return labelled(f"leg {number}", Span(words))


def _totals(name: str, totals: Totals, nothing: str) -> Iterator[Row]:
    if not (totals.moving_s or totals.stopped_s or totals.distance_m):
        yield labelled(name, Span(nothing, Ink.MUTED))
        return
    yield labelled(name, Span(wording.distance(totals.distance_m), bold=True), PUSH, *_gaps(totals))
    moving = f"{wording.clock(totals.moving_s)} moving, {wording.clock(totals.stopped_s)} stopped"
    yield labelled("time", Span(moving))
    yield labelled("average", _speed(totals.average_mps), Span("  while moving", Ink.MUTED))
    yield labelled("fastest", _speed(totals.fastest_mps), *_contradicted(totals))
    if totals.climb_known:
        yield labelled("up", Span(_range(totals.ascent_m)), Span("   down ", Ink.MUTED), Span(_range(totals.descent_m)))


def _gaps(totals: Totals) -> tuple[Span, ...]:
    if not totals.gaps:
        return ()
    word = "gap" if totals.gaps == 1 else "gaps"
    return (Span(f"{totals.gaps} {word}, {wording.age(totals.gap_s)} not counted", Ink.WARN),)


def _contradicted(totals: Totals) -> tuple[Span, ...]:
    """The average comes of positions, the fastest of the receiver's own speed: they may contradict each other."""
    average_mps, fastest_mps = totals.average_mps, totals.fastest_mps
    if average_mps is None or fastest_mps is None or average_mps <= fastest_mps:
        return ()
    same = wording.steady_speed(average_mps) == wording.steady_speed(fastest_mps)
    return () if same else (Span(f"  {WANDERED}", Ink.MUTED),)


def _speed(mps: float | None) -> Span:
    return Span(wording.UNKNOWN, Ink.MUTED) if mps is None else Span(wording.steady_speed(mps))


def _range(metres: tuple[float, float]) -> str:
    units = in_use()
    low, high = sorted(round(units.height_figure(value)) for value in metres)
    return f"{low} {units.height}" if low == high else f"{low} to {high} {units.height}"


def _turn_rows(state: BoardState) -> Iterator[Row]:
    if state.is_held:
        yield (Span("turn back at the latest  ", Ink.MUTED), Span(HELD_BACK, Ink.MUTED))
        return
    found = before_dark(state)
    yield (Span("turn back at the latest  ", Ink.MUTED), *_when(found.latest_turn, found.seconds_left))
    yield (Span(LAST_WORD, Ink.WARN),)


def _made_of(state: BoardState, width: int) -> Iterator[Row]:
    """The assumptions, Naismith's rule and the light among them."""
    for sentence in () if state.is_held else before_dark(state).assumptions:
        if sentence == LAST_WORD:
            continue
        for line in wrap(sentence, max(20, width - 4)):
            yield (Span(f"  {line}", Ink.MUTED),)


def _when(words: str, seconds_left: float | None) -> tuple[Span, ...]:
    if seconds_left is None:
        return (Span(words, Ink.MUTED),)
    if seconds_left < 0:
        return (Span(f"{words}: {wording.age(-seconds_left)} ago", Ink.ALERT, bold=True),)
    ink = Ink.WARN if seconds_left < 1800 else Ink.TEXT
    return (Span(f"{words}, in {wording.age(seconds_left)}", ink, bold=True),)
