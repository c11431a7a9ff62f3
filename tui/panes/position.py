"""Where the receiver is, which height that is, what time it is, how fast and whither it moves."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, tzinfo
from textwrap import wrap
from typing import Any

from textual.reactive import reactive

from core.aged import Aged, Freshness
from core.course import CourseTrust
from core.fix import FixMode, Utc
from core.places.notation import Form, write
from tui import wording
from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row, RowsPane
from tui.panes.advice import advice
from tui.state import BoardState

LABEL_WIDTH = 9
ROOM_FOR_FORMS = 56
"""Width of the pane from which every form of the position has room: when it has the page to itself."""
HEIGHT_WIDTH = len("-12.5 m")
MOST_ADVICE = 4
"""Lines of advice: more would push the time off a small screen."""


class PositionPane(RowsPane):
    """The position and what belongs to it."""

    caption = "Position"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def __init__(self, *, id: str | None = None, zone: tzinfo | None = None) -> None:  # noqa: A002 - Textual's own name
        """`zone`: for the local time; None is that of this computer."""
        super().__init__(id=id)
        self._zone = zone

    def watch_state(self) -> None:
        """Draw the new state."""
        loud = unmeasured(self.state)
        self.aside = Span(loud, Ink.WARN, bold=True) if loud else Span(self.state.notation.value, Ink.MUTED)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """The position first, then by how soon one asks for it; blank lines where there is room for them."""
        state = self.state
        blocks = [
            list(_place(state, width)),
            list(_time(state, self._zone)),
            list(_motion(state)),
            list(_height(state)),
        ]
        if width >= ROOM_FOR_FORMS and state.position is not None:
            # Start-up time: a position comes after the first picture.
            from tui.panes.place_forms import form_rows, light_rows, square_rows

            blocks += [form_rows(state), list(square_rows(state)), list(light_rows(state))]
        return spaced(blocks, height)


def spaced(blocks: list[list[Row]], height: int) -> list[Row]:
    """Rows of blocks, one blank row between blocks if all of them fit so."""
    needed = sum(len(block) for block in blocks)
    gap: list[Row] = [()] if needed + len(blocks) - 1 <= height else []
    found: list[Row] = []
    for block in blocks:
        found += (gap if found else []) + block
    return found


def labelled(label: str, *spans: Span) -> Row:
    """A row with a label of fixed width, so that values stand under each other."""
    return (Span(f"{label:<{LABEL_WIDTH}}", Ink.MUTED), *spans)


def aged_span(aged: Aged[Any] | None, text: str, now_s: float) -> tuple[Span, ...]:
    """The text while it may be shown: plain when fresh, grey with its age when stale, else a dash."""
    freshness = aged.freshness(now_s) if aged else Freshness.GONE
    if aged is None or freshness is Freshness.GONE:
        return (Span(wording.UNKNOWN, Ink.MUTED),)
    if freshness is Freshness.STALE:
        return (Span(text, Ink.STALE), PUSH, Span(f"{wording.age(aged.age_s(now_s))} old", Ink.STALE))
    return (Span(text),)


def fix_span(state: BoardState, aged: Aged[Any] | None, text: str) -> tuple[Span, ...]:
    """The text of a value that came with a position: grey as soon as that is not current, gone with it."""
    spans = aged_span(aged if state.position else None, text, state.now_s)
    return (Span(text, Ink.STALE),) if spans == (Span(text),) and not state.is_current else spans


_UNMEASURED = {FixMode.ESTIMATED: "ESTIMATED", FixMode.MANUAL: "BY HAND", FixMode.SIMULATED: "SIMULATED"}


def unmeasured(state: BoardState) -> str:
    """What to call the position shown if no satellites gave it, however old it is; else empty."""
    if state.is_held:
        return "HELD PLACE"
    if state.is_positions_only:
        return "FROM A FILE"
    aged, last = state.snapshot.values.position, state.snapshot.last_fix
    if aged is None or state.position is None or (last is not None and last.at_s >= aged.at_s):
        return ""
    mode = state.snapshot.values.mode
    return _UNMEASURED.get(mode.value.mode if mode else FixMode.NONE, "NOT MEASURED")


def _place(state: BoardState, width: int) -> Iterator[Row]:
    aged = state.snapshot.values.position
    if aged is None or state.position is None:
        yield (Span("no position", Ink.ALERT, bold=True),)
        yield (Span(_since(state), Ink.MUTED),)
        yield from _advice(state, max(10, width - 2))
        return
    from core.places.forms import digits_for  # the same
    from core.places.locator import locator

    ink = Ink.STALE if not state.is_current else Ink.WARN if unmeasured(state) else Ink.TEXT
    written = write(aged.value, state.notation, digits_for(state.digits_error_m, Form[state.notation.name]))
    old = () if state.is_current else (PUSH, Span(f"{wording.age(aged.age_s(state.now_s))} old", Ink.STALE))
    yield (Span(f"{written.latitude:>17}", ink, bold=True), *old)
    yield (Span(f"{written.longitude:>17}", ink, bold=True),)
    yield labelled("locator", Span(locator(aged.value, 8), ink))


def _advice(state: BoardState, width: int) -> Iterator[Row]:
    """In as many lines as it may have; where it is longer, the last is marked as cut."""
    lines = wrap(one_cell_each(advice(state)), width)
    shown = [*lines[: MOST_ADVICE - 1], " ".join(lines[MOST_ADVICE - 1 :])]
    for line in filter(None, shown):
        yield (Span(fitted(line, width)),)


def _since(state: BoardState) -> str:
    """When the last fix was, since there is none now."""
    last = state.snapshot.last_fix
    if last is None:
        return "no fix yet"
    return f"last fix {wording.clock(max(0.0, state.now_s - last.at_s))} ago"


def _height(state: BoardState) -> Iterator[Row]:
    aged = state.snapshot.values.height
    if aged is None or state.position is None or aged.freshness(state.now_s) is Freshness.GONE:
        yield labelled("altitude", Span(wording.UNKNOWN, Ink.MUTED))
        return
    altitude, separation = aged.value
    value, *old = fix_span(state, aged, _steady(wording.height(altitude, 1)))
    yield labelled("altitude", value, Span("  sea level" if old else "  mean sea level", Ink.MUTED), *old)
    if separation is not None:
        yield labelled("", Span(f"{_steady(wording.height(altitude + separation, 1))}  ellipsoid", Ink.MUTED))


def _steady(height: str) -> str:
    """With room for a sign and three figures: on the shore what follows must not jump at each wave."""
    return f"{height:>{HEIGHT_WIDTH}}"


def _time(state: BoardState, zone: tzinfo | None) -> Iterator[Row]:
    aged = state.snapshot.values.utc
    utc = aged.value if aged else None
    corrected = state.corrected_utc
    yield labelled("UTC", *aged_span(aged, _utc_text(utc if corrected is None else corrected), state.now_s))
    if state.is_held:
        yield labelled("", Span("by this computer's clock", Ink.MUTED))
    if corrected is not None and utc is not None:
        yield labelled("", Span(f"date corrected from {utc.day}", Ink.WARN))
        utc = corrected
    yield labelled("local", *aged_span(aged if utc and utc.day else None, _local_text(utc, zone), state.now_s))


def _utc_text(utc: Utc | None) -> str:
    if utc is None:
        return ""
    return f"{utc.clock()}  {utc.day.isoformat() if utc.day else 'no date'}"


def _local_text(utc: Utc | None, zone: tzinfo | None) -> str:
    moment = utc.datetime() if utc else None
    if moment is None:
        return ""
    try:
        local: datetime = moment.astimezone(zone)
    except (OverflowError, OSError, ValueError):
        return wording.UNKNOWN
    return f"{local:%H:%M:%S}  UTC{local:%z}"[:19]


def _motion(state: BoardState) -> Iterator[Row]:
    values = state.snapshot.values
    speed = values.speed_mps
    yield labelled("speed", *fix_span(state, speed, _speed_words(speed, state.now_s) if speed else ""))
    course = state.course_deg
    if course is None:
        yield labelled("course", Span(no_course(state), Ink.MUTED))
    elif state.walked_course_deg is not None:
        yield labelled("course", Span(f"{state.bearing(course)}  from your track"))
    elif state.course_trust is CourseTrust.SURE:
        yield labelled("course", Span(state.bearing(course)))
    else:
        yield labelled("course", Span(f"{state.bearing(course)}  unsure: slow", Ink.COURSE_UNSURE))


def _speed_words(speed: Aged[float], now_s: float) -> str:
    """Its units stand still while it changes. An old one does not change, and its age needs the room."""
    words = wording.steady_speed(speed.value)
    return words if speed.freshness(now_s) is Freshness.FRESH else " ".join(words.split())


def no_course(state: BoardState) -> str:
    """Why there is no course."""
    if state.is_held:
        return "held place: no course"
    if not state.is_current:
        return "no fix: no course"
    speed = state.snapshot.values.speed_mps
    if speed is None or speed.freshness(state.now_s) is not Freshness.FRESH:
        return "no speed reported"
    return "standing: no course" if state.snapshot.course_trust is CourseTrust.NONE else "not reported"
