"""The verdict over time, with what happened marked in it."""

from __future__ import annotations

from core.events import Event, EventKind
from core.report.figures import Frame, Key, Shape, framed
from core.report.markup import Markup, tag
from core.report.model import Report
from core.report.strip import PLOT, Chart, Curve, along_axis, strip
from core.report.svg import Point, Words, dot, triangle
from core.report.tables import Named, Sort, over_time
from core.report.verdicts import shares_in_words
from core.trust import Verdict

_LEVELS = [(float(verdict), verdict.words) for verdict in Verdict]
KEYS = {
    EventKind.FIRST_FIX: Key("mark found", "first fix", Shape.DOT),
    EventKind.REGAINED: Key("mark found", "fix back", Shape.DOT),
    EventKind.LOST: Key("mark lost", "fix lost", Shape.DOT),
    EventKind.JUMP: Key("mark jump", "jump", Shape.TRIANGLE),
}
_RING = frozenset({EventKind.FIRST_FIX, EventKind.REGAINED})
MOST_MARKS = 60
"""More would hide the line."""


def timeline(report: Report) -> Markup | None:
    """None where nothing was judged."""
    named = Named(Sort("verdict, 0 to 3", ""), report.series["verdict"])
    if not named.columns:
        return None
    words = Words("verdict", "How far it could be trusted", f"By epochs: {shares_in_words(report)}.")
    marks = _marks(report)
    drawn = strip(Chart(words, [Curve("verdict", named.columns, "a")], report.times, levels=_LEVELS), marks)
    kinds = {event.kind for event in _marked(report)}
    keys = [key for kind, key in KEYS.items() if kind in kinds]
    return framed(Frame(words, keys, over_time([named], report.times)), drawn)


def _marks(report: Report) -> Markup:
    along = along_axis(report.times)
    return tag("g", *(_mark(event, (along.at(event.at_s), PLOT.bottom)) for event in _marked(report)))


def _marked(report: Report) -> list[Event]:
    return [event for event in report.happened.shown if event.kind in KEYS][:MOST_MARKS]


def _mark(event: Event, at: Point) -> Markup:
    """A ring, a disc or a triangle: their shapes differ, not only their inks."""
    if event.kind in _RING:
        return dot(at, 4.0, "mark found")
    if event.kind is EventKind.LOST:
        return dot(at, 4.0, "mark lost")
    return triangle(at, "mark jump")
