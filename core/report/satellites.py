"""How many satellites there were, in view and in the fix."""

from __future__ import annotations

from core.report.figures import Frame, Key, framed
from core.report.markup import Markup
from core.report.model import Report
from core.report.strip import Chart, Curve, strip
from core.report.svg import Words
from core.report.tables import Named, Sort, over_time


def satellites(report: Report) -> Markup | None:
    """None where neither was told."""
    used = Named(Sort("in the fix", ""), report.series["in_fix"])
    seen = Named(Sort("in view", ""), report.series["in_view"])
    if not (used.columns or seen.columns):
        return None
    words = Words("satellites", "Satellites", f"In the fix: {used.range_words}. In view: {seen.range_words}.")
    curves = [Curve("in view", seen.columns, "b"), Curve("in the fix", used.columns, "a")]
    drawn = strip(Chart(words, curves, report.times, (0.0, 4.0)))
    keys = [Key("curve a", "in the fix"), Key("curve b", "in view")]
    return framed(Frame(words, keys, over_time([used, seen], report.times)), drawn)
