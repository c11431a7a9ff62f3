"""Height over time, with ascent and descent as the range they are known in."""

from __future__ import annotations

from core.report.figures import Frame, framed
from core.report.markup import Markup
from core.report.model import Report
from core.report.strip import Chart, Curve, strip
from core.report.svg import Words
from core.report.tables import Named, Sort, over_time
from core.report.words import between

SORT = Sort("height", "m")
LEAST_SPAN_M = 20.0
"""Of the upright axis: less would draw the noise of heights as hills."""


def profile(report: Report) -> Markup | None:
    """None where no usable fix told a height."""
    named = Named(SORT, report.series["height"])
    if not named.columns:
        return None
    middle = (min(one.low for one in named.columns) + max(one.high for one in named.columns)) / 2
    words = Words("elevation", "Elevation", _says(named, report))
    least = (middle - LEAST_SPAN_M / 2, middle + LEAST_SPAN_M / 2)
    drawn = strip(Chart(words, [Curve("height", named.columns, "a")], report.times, least))
    return framed(Frame(words, figures=over_time([named], report.times)), drawn)


def _says(named: Named, report: Report) -> str:
    totals = report.totals
    climbed = ""
    if totals and totals.climb_known:
        climbed = f" Ascent {between(totals.ascent_m, 'm')}, descent {between(totals.descent_m, 'm')}."
    return (
        f"Metres above mean sea level, as the receiver works it out: {named.range_words}.{climbed} "
        "Heights of satellite fixes are off by more than places are; not for aviation."
    )
