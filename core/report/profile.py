"""Height over time, with ascent and descent as the range they are known in."""

from __future__ import annotations

from core.report import words as told
from core.report.columns import scaled
from core.report.figures import Frame, framed
from core.report.markup import Markup
from core.report.model import Report
from core.report.strip import Chart, Curve, strip
from core.report.svg import Words
from core.report.tables import Named, Sort, over_time

LEAST_SPAN_M = 20.0
"""Of the upright axis: less would draw the noise of heights as hills."""


def profile(report: Report) -> Markup | None:
    """None where no usable fix told a height."""
    unit = told.height_unit()
    named = Named(Sort("height", unit.name), scaled(report.series["height"], unit.size))
    if not named.columns:
        return None
    middle = (min(one.low for one in named.columns) + max(one.high for one in named.columns)) / 2
    words = Words("elevation", "Elevation", _says(named, report))
    half = LEAST_SPAN_M / unit.size / 2
    least = (middle - half, middle + half)
    drawn = strip(Chart(words, [Curve("height", named.columns, "a")], report.times, least))
    return framed(Frame(words, figures=over_time([named], report.times)), drawn)


def _says(named: Named, report: Report) -> str:
    totals = report.totals
    climbed = ""
    if totals and totals.climb_known:
        climbed = f" Ascent {told.climb(totals.ascent_m)}, descent {told.climb(totals.descent_m)}."
    return (
        f"{told.UNITS_IN_WORDS[named.sort.unit].capitalize()} above mean sea level, as the receiver works it out: "
        f"{named.range_words}.{climbed} "
        "Heights of satellite fixes are off by more than places are; not for aviation."
    )
