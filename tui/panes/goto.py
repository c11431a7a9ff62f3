"""The way to the target in words and figures, with the cautions that belong to it."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from textual.reactive import reactive

from core.course import CourseTrust
from core.navigator import Going
from core.trust import Verdict
from core.units import in_use
from tui import wording
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row, RowsPane
from tui.own_keys import own_words
from tui.panes.position import labelled, spaced, unmeasured
from tui.state import BoardState

CAUTION = "Not for primary navigation or safety of life. Watch the way, not the screen."
SHORT_CAUTION = "Not for primary navigation or safety of life. Watch the way."
SHORTEST_CAUTION = "Watch the way, not the screen."
"""Whole or not at all: half a caution says something else. The help screen has all of them."""
ROOM_FOR_CAUTION = 9
"""Rows of the pane from which the whole caution has room beside the guidance."""
ON_THE_LEG_M = 2.0
"""Nearer than this no receiver of this kind can tell the side (common practice)."""


class GoToPane(RowsPane):
    """Distance, bearing, turn, and how the way goes."""

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
        """Guidance above, the caution below; what is told of the way gives way to both."""
        guidance = list(_guidance(self.state))
        caution = _caution_in(width, height - len(guidance), whole=height >= ROOM_FOR_CAUTION)
        told = list(_way_rows(self.state))[: max(0, height - len(guidance) - len(caution))]
        return spaced([guidance, told, caution] if told else [guidance, caution], height)


def _caution_in(width: int, room: int, *, whole: bool) -> list[Row]:
    """The longest that fits."""
    texts = (CAUTION, SHORT_CAUTION, SHORTEST_CAUTION)[0 if whole else 1 :]
    fitting = (rows for rows in (_caution(text, width) for text in texts) if len(rows) <= room)
    return next(fitting, [])


def _caution(text: str, width: int) -> list[Row]:
    return [(Span(line, Ink.MUTED),) for line in wrap(text, max(10, width - 2))]


def _guidance(state: BoardState) -> Iterator[Row]:
    from core.return_trail import gap_ahead

    if state.target is None:
        if not state.is_held:
            yield (Span(own_words("m marks here"), Ink.TEXT),)
        yield (Span(own_words("g goes to the newest mark"), Ink.TEXT),)
        yield (Span(own_words("t lists the waypoints"), Ink.TEXT),)
        return
    guidance = state.guidance
    if guidance is None:
        yield (Span("no position: no guidance", Ink.ALERT),)
        return
    ink = Ink.TARGET if state.is_current else Ink.STALE
    if state.trail_left_m is not None:
        yield labelled("by trail", Span(f"{wording.distance(state.trail_left_m)} to its start", ink, bold=True))
    yield labelled(
        "to bend" if state.is_by_trail else "distance", Span(wording.distance(guidance.distance_m), ink, bold=True)
    )
    bearing = "on the spot" if guidance.bearing_deg is None else state.bearing(guidance.bearing_deg)
    yield labelled("bearing", Span(bearing, ink))
    yield labelled("turn", Span(turn_words(state), ink if guidance.turn_deg is not None else Ink.MUTED))
    if state.is_by_trail and state.route is not None and gap_ahead(state.route, state.going):
        yield (Span("the trail has a gap here: straight on", Ink.WARN),)
    if not state.is_current:
        yield (Span("from the last position: not current", Ink.WARN),)
    elif state.is_held:
        yield (Span("from the held place, not from you", Ink.WARN),)
    elif unmeasured(state):
        yield (Span(f"position: {unmeasured(state).lower()}", Ink.WARN),)


def _way_rows(state: BoardState) -> Iterator[Row]:
    """How the way goes: arrival first, then when, then how far beside the leg."""
    going = state.going
    if state.target is None or state.is_held or not state.is_current or going.route is None:
        return
    if going.arrived:
        yield (Span(arrival_words(state), Ink.GOOD, bold=True),)
    yield from _approach(state, going)
    beside = beside_words(going.cross_track_m)
    if beside:
        yield labelled("beside", Span(beside))
    yield labelled("arrival", Span(_radius_words(going)))
    yield labelled("", Span(f"mark {_error(going.goal_error_m)}, now {_error(going.here_error_m)}", Ink.MUTED))
    if state.then:
        yield labelled("then", Span(one_cell_each(state.then[0].name), Ink.TARGET), *_more(len(state.then) - 1))


def _more(count: int) -> tuple[Span, ...]:
    return (PUSH, Span(f"and {count} more", Ink.MUTED)) if count > 0 else ()


def _approach(state: BoardState, going: Going) -> Iterator[Row]:
    if going.arrived:
        return
    if going.closing_mps is None:
        yield labelled("closing", Span("wait: measured over 10 s", Ink.MUTED))
        return
    receding = going.closing_mps < 0
    yield labelled("ETA", Span(eta_words(state), Ink.TEXT if going.eta_s is not None else Ink.MUTED))
    yield labelled(
        "closing", Span(wording.steady_speed(abs(going.closing_mps))), Span("  away" if receding else "", Ink.WARN)
    )


def eta_words(state: BoardState) -> str:
    """In how long, and when by UTC; blank when not closing."""
    eta_s = state.going.eta_s
    if eta_s is None:
        return wording.UNKNOWN
    utc = state.utc
    if utc is None or eta_s >= 86_400:
        return f"in {wording.age(eta_s)}"
    at_s = (utc.time_ms // 1000 + round(eta_s)) % 86_400
    return f"in {wording.age(eta_s)}, {at_s // 3600:02d}:{at_s % 3600 // 60:02d} UTC"


def arrival_words(state: BoardState) -> str:
    """What is claimed, and how exactly: no radius that an unknown error does not allow, nor one that was left again."""
    going, guidance, name = state.going, state.guidance, one_cell_each(state.target.name if state.target else "")
    doubt = ", the fix is doubtful" if state.verdict < Verdict.USABLE else ""
    if going.goal_error_m is None or going.here_error_m is None:
        whose = "the mark's" if going.goal_error_m is None else "the position's"
        return f"ARRIVED near {name}, {whose} error is not known{doubt}"
    if guidance is not None and going.radius_m is not None and guidance.distance_m > going.radius_m:
        return f"ARRIVED at {name}, now {wording.distance(guidance.distance_m)} away{doubt}"
    return f"ARRIVED: within {wording.metres(going.radius_m or 0.0)} of {name}{doubt}"


def _radius_words(going: Going) -> str:
    """The radius that both errors make; they stand below it."""
    if going.too_coarse:
        return "cannot be told, too coarse"
    return f"within {wording.metres(going.radius_m)}" if going.radius_m is not None else wording.UNKNOWN


def _error(metres: float | None) -> str:
    return "not known" if metres is None else f"+-{wording.metres(metres)}"


def beside_words(cross_track_m: float | None) -> str:
    """Which side of the leg, and how far."""
    if cross_track_m is None:
        return ""
    if abs(cross_track_m) < ON_THE_LEG_M:
        return "on the leg"
    return f"{wording.distance(abs(cross_track_m))} {'right' if cross_track_m > 0 else 'left'} of the leg"


def turn_words(state: BoardState) -> str:
    """How to turn, or why that cannot be said and what to do about it."""
    guidance = state.guidance
    if guidance is None or guidance.bearing_deg is None or not state.is_current or state.is_held:
        return wording.UNKNOWN
    if guidance.turn_deg is not None:
        return wording.turn(guidance.turn_deg)
    going = state.going
    if going.route is None:
        return "walk on: no sure course" if state.course_trust is CourseTrust.UNSURE else "walk straight first"
    if going.needed_m is None:
        return "too coarse for a course"
    done = f": {in_use().plain(going.straight_m)} so far" if going.straight_m >= 1.0 else ""
    return f"walk {in_use().plain(going.needed_m)} straight{done}"
