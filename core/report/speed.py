"""Speed over time."""

from __future__ import annotations

from core.report import words as told
from core.report.columns import scaled
from core.report.figures import Frame, framed
from core.report.markup import Markup
from core.report.model import Report
from core.report.strip import Chart, Curve, strip
from core.report.svg import Words
from core.report.tables import Named, Sort, over_time

LEAST_MPS = 1.0
"""Height of the axis at least: at rest the noise of a speed is no ride."""


def speed(report: Report) -> Markup | None:
    """None where no usable fix told a speed."""
    unit = told.speed_unit()
    named = Named(Sort("speed", unit.name, 1), scaled(report.series["speed"], unit.size))
    if not named.columns:
        return None
    words = Words("speed", "Speed", _says(named, report))
    drawn = strip(Chart(words, [Curve("speed", named.columns, "a")], report.times, (0.0, LEAST_MPS / unit.size)))
    return framed(Frame(words, figures=over_time([named], report.times)), drawn)


def _says(named: Named, report: Report) -> str:
    totals = report.totals
    held = ""
    if totals and totals.fastest_mps is not None:
        held = f" Fastest that was held: {told.speed(totals.fastest_mps)}."
    unit = told.UNITS_IN_WORDS[named.sort.unit].capitalize()
    return f"{unit} over ground, as the receiver tells it, of usable fixes: {named.range_words}.{held}"
