"""What each page says on a stage: few words, each true at this moment, blank where nothing is known.

The rules of age are those of the board: what is stale is grey and said to be old, what is lost is not there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from core.aged import Freshness
from core.course import CourseTrust
from core.places.forms import digits_for
from core.places.locator import locator
from core.places.notation import Form, write
from core.units import in_use
from tui import wording
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink, signal_step
from tui.canvas.rows import PUSH
from tui.panes.advice import advice
from tui.panes.banner import banner_words
from tui.panes.fix import mode_spans
from tui.panes.goto import turn_words
from tui.panes.position import aged_span, fix_span, no_course, unmeasured
from tui.panes.sky import SkyView
from tui.panes.sky_plot import view_of
from tui.panes.stage_lines import Line, line
from tui.panes.verdict_line import INKS, MARKS
from tui.state import BoardState

MOST_NAME = 24
"""Characters of a name that somebody gave: a longer one would make all letters beside it small."""


def position_lines(state: BoardState) -> Iterator[Line]:
    """Latitude and longitude in the chosen notation, then the locator and what must be said against them."""
    aged = state.snapshot.values.position
    if aged is None or state.position is None:
        yield from _no_position(state)
        return
    ink = Ink.STALE if not state.is_current else Ink.WARN if unmeasured(state) else Ink.TEXT
    written = write(aged.value, state.notation, digits_for(state.digits_error_m, Form[state.notation.name]))
    yield line("", Span(written.latitude.strip(), ink), is_main=True)
    yield line("", Span(written.longitude.strip(), ink), is_main=True)
    against = list(_against(state))
    yield from against or [line("", Span("locator ", Ink.MUTED), Span(locator(aged.value, 8), ink))]


def _no_position(state: BoardState) -> Iterator[Line]:
    last = state.snapshot.last_fix
    since = f"last fix {wording.clock(max(0.0, state.now_s - last.at_s))} ago" if last else "no fix yet"
    yield line("", Span("no position", Ink.ALERT), is_main=True)
    yield line("", Span(since, Ink.MUTED))
    if advice(state):
        yield line("", Span(one_cell_each(advice(state))), wraps=True)


def _against(state: BoardState) -> Iterator[Line]:
    """Old, or measured by nobody: said as large as the place itself is beside it."""
    aged, loud = state.snapshot.values.position, unmeasured(state)
    if aged is not None and not state.is_current:
        yield line("", Span(f"not current: {wording.age(aged.age_s(state.now_s))} old", Ink.WARN))
    elif loud:
        yield line("", Span(loud, Ink.WARN))


def trust_lines(state: BoardState) -> Iterator[Line]:
    """The verdict, the error, the weightiest reason."""
    if state.is_held:
        yield line("", Span("HELD PLACE", Ink.WARN), is_main=True)
        yield line("", Span("a saved place, not a measurement: there is no verdict"), wraps=True)
        return
    yield verdict_line(state)
    yield from error_lines(state)
    if state.reasons:
        yield line("", Span(one_cell_each(state.reasons[0]), Ink.TEXT), wraps=True)


def verdict_line(state: BoardState) -> Line:
    """The word with its mark, so that colour is never the only cue."""
    ink = INKS[state.verdict]
    return line("", Span(f"{MARKS[state.verdict]} ", ink), Span(state.verdict.words, ink), is_main=True)


def error_lines(state: BoardState) -> Iterator[Line]:
    """The 95 % error, while there is a position that it belongs to."""
    error_m = state.snapshot.trust.error.horizontal_m
    if error_m is not None and state.is_current:
        yield line("", Span("95 % within ", Ink.MUTED), Span(wording.metres(error_m)))


def fix_lines(state: BoardState) -> Iterator[Line]:
    """Mode, HDOP, height above mean sea level."""
    how = " ".join(span.text for span in mode_spans(state))
    ink = mode_spans(state)[0].ink
    yield line("", Span(one_cell_each(how), ink if state.is_current else Ink.ALERT), is_main=True, wraps=True)
    values = state.snapshot.values
    hdop = f"{values.dops.value.hdop:.1f}" if values.dops and values.dops.value.hdop is not None else wording.UNKNOWN
    yield line("", Span("HDOP ", Ink.MUTED), _first(fix_span(state, values.dops, hdop)))
    height = wording.height(values.height.value[0]) if values.height else ""
    yield line("", Span("above sea ", Ink.MUTED), _first(fix_span(state, values.height, height)))
    yield from _against(state)


def _first(spans: tuple[Span, ...]) -> Span:
    """The value without the age that stands at the other end of a row: one line on the page says it for all."""
    return spans[0] if spans and spans[0] is not PUSH else Span(wording.UNKNOWN, Ink.MUTED)


def sky_lines(state: BoardState) -> Iterator[Line]:
    """How many in the fix, of how many in view."""
    view = view_of(state)
    if not view.satellites:
        yield line("", Span(view.note, Ink.MUTED), wraps=True)
        return
    used, ink = sum(one.in_fix for one in view.satellites), Ink.STALE if view.stale else Ink.TEXT
    if view.status:
        lost = sum(one.in_fix for one in view.satellites if one.name in dict(view.lost))
        yield line("", Span("WHAT IF", Ink.WARN), is_main=True)
        yield line("", Span(f"{used - lost} of {used} left", Ink.WARN))
        return
    yield Line((Span(f"{used}", ink),), is_main=True, widest="00")
    yield line("", Span("in the fix", Ink.MUTED))
    yield line("", Span("of ", Ink.MUTED), Span(f"{len(view.satellites)}", ink), Span(" in view", Ink.MUTED))
    if view.stale:
        yield line("", Span("not current", Ink.WARN))


def signal_lines(state: BoardState) -> Iterator[Line]:
    """The strongest, and how many are heard at all."""
    view = view_of(state)
    heard = [one.cno_dbhz for one in view.satellites if one.cno_dbhz]
    if not heard:
        yield line("", Span("no signal" if view.satellites else view.note, Ink.MUTED), wraps=True)
        return
    ink = Ink.STALE if view.stale else Ink.TEXT
    yield line("", Span(f"{len(heard)}", ink), Span(" heard, best ", Ink.MUTED), Span(f"{max(heard)} dB-Hz", ink))


def course_lines(state: BoardState) -> Iterator[Line]:
    """The course, or why there is none; then the way to the target."""
    course = state.course_deg
    if course is None:
        yield line("", Span(no_course(state), Ink.MUTED), wraps=True)
    else:
        figure, _, north = state.bearing(course).partition(" ")
        ink = Ink.COURSE if state.is_course_sure else Ink.COURSE_UNSURE
        yield line("", Span(figure, ink), is_main=True)
        unsure = "" if state.is_course_sure else ", unsure"
        yield line("", Span(f"course, {north}{unsure}", Ink.MUTED))
    guidance, target = state.guidance, state.target
    if guidance is not None and target is not None and guidance.bearing_deg is not None:
        ink = Ink.TARGET if state.is_current else Ink.STALE
        yield line("", Span(_name(target.name), ink))
        yield line("", Span(state.bearing(guidance.bearing_deg), ink))
    yield from _against(state) if state.position is not None else ()


def _name(text: str) -> str:
    """Cut at the end with a mark, as everywhere."""
    clean = one_cell_each(text)
    return clean if len(clean) <= MOST_NAME else f"{clean[: MOST_NAME - 1]}~"


def way_lines(state: BoardState) -> Iterator[Line]:
    """Target, distance, turn; an arrival before all."""
    guidance, target = state.guidance, state.target
    if target is None or guidance is None:
        why = "no target" if target is None else "no position: no guidance"
        yield line("", Span(why, Ink.MUTED if target is None else Ink.ALERT), is_main=True, wraps=True)
        return
    ink = Ink.TARGET if state.is_current else Ink.STALE
    banner = banner_words(state)
    if banner:
        yield line("", Span(one_cell_each(banner), Ink.GOOD), wraps=True)
    left_m = state.trail_left_m
    to = _name(target.name) if left_m is None else f"{_name(target.name)}, by trail"
    distance = wording.distance(guidance.distance_m if left_m is None else left_m)
    yield line("", Span(to, ink), wraps=True)
    yield Line(
        (Span(distance, Ink.TEXT if state.is_current else Ink.STALE),), is_main=True, widest=f"000 {in_use().short}"
    )
    if turn_words(state) != wording.UNKNOWN:
        yield line("", Span(turn_words(state), ink), wraps=True)
    yield from _against(state)


def time_lines(state: BoardState) -> Iterator[Line]:
    """UTC from the satellites, and the date."""
    aged, utc = state.snapshot.values.utc, state.utc
    if aged is None or utc is None or aged.freshness(state.now_s) is Freshness.GONE:
        yield line("", Span("no time", Ink.ALERT), is_main=True)
        return
    ink = _first(aged_span(aged, "x", state.now_s)).ink
    yield line("", Span(utc.clock(), ink), is_main=True)
    yield line("", Span("UTC  ", Ink.MUTED), Span(utc.day.isoformat() if utc.day else "no date", ink))
    if ink is Ink.STALE:
        yield line("", Span(f"{wording.age(aged.age_s(state.now_s))} old", Ink.WARN))
    if state.is_held:
        yield line("", Span("by this computer's clock", Ink.WARN))
    elif state.corrected_utc is not None:
        yield line("", Span(f"date corrected from {aged.value.day}", Ink.WARN), wraps=True)


def motion_lines(state: BoardState) -> Iterator[Line]:
    """Speed, course, and the way so far."""
    speed = state.snapshot.values.speed_mps
    *slower, figure = in_use().rates(speed.value) if speed else ("",)
    widest = f"00.0 {in_use().rates(0.0)[-1].split()[-1]}"
    main = _first(fix_span(state, speed, figure))
    yield Line((main,), is_main=True, widest=widest)
    if main.text == wording.UNKNOWN:
        yield line("", Span("no speed", Ink.MUTED))
    elif slower:
        yield line("", _first(fix_span(state, speed, slower[0])))
    yield line("", *_course(state))
    if state.trip.totals.moving_s:
        yield line("", Span("way so far ", Ink.MUTED), Span(wording.distance(state.trip.totals.distance_m)))
    yield from _against(state) if state.position is not None else ()


def _course(state: BoardState) -> tuple[Span, ...]:
    course = state.course_deg
    if course is None:
        return (Span(no_course(state), Ink.MUTED),)
    sure = state.walked_course_deg is not None or state.course_trust is CourseTrust.SURE
    ink = Ink.COURSE if sure else Ink.COURSE_UNSURE
    return Span("course ", Ink.MUTED), Span(f"{state.bearing(course)}{'' if sure else ', unsure'}", ink)


def overview_lines(state: BoardState) -> Iterator[Line]:
    """The board's first questions: where, how far to trust it, what time."""
    yield from (one for one in position_lines(state) if not one.text.startswith("locator "))
    if not state.is_held:
        error = [span for one in error_lines(state) for span in one.spans[1:]]
        word = verdict_line(state).spans
        yield line("", *word, *(span._replace(text=f"  {span.text}") for span in error))
    utc, aged = state.utc, state.snapshot.values.utc
    shown = _first(aged_span(aged, utc.clock() if utc else "", state.now_s))
    yield line("", Span("UTC ", Ink.MUTED), shown)


LINES: dict[str, Callable[[BoardState], Iterator[Line]]] = {
    "board": overview_lines,
    "position": position_lines,
    "why": trust_lines,
    "fix": fix_lines,
    "sky": sky_lines,
    "signals": signal_lines,
    "compass": course_lines,
    "goto": way_lines,
    "large": way_lines,
    "clock": time_lines,
    "trip": motion_lines,
}
"""The pages that have a form of their own on a stage. The others keep theirs, between the stage's head and foot."""


def strongest(view: SkyView) -> list[tuple[str, int, bool, int]]:
    """Name, signal, whether in the fix, and step, of those heard, the strongest first."""
    heard = sorted((one for one in view.satellites if one.cno_dbhz), key=lambda one: (-(one.cno_dbhz or 0), one.name))
    return [(one.name, one.cno_dbhz or 0, one.in_fix, signal_step(one.cno_dbhz)) for one in heard]
