"""Speed over time."""

from __future__ import annotations

from core.report.figures import Frame, framed
from core.report.markup import Markup
from core.report.model import Report
from core.report.strip import Chart, Curve, strip
from core.report.svg import Words
from core.report.tables import Named, Sort, over_time
from core.report.words import rounded

SORT = Sort("speed", "m/s", 1)
LEAST_MPS = 1.0
"""Height of the axis at least: at rest the noise of a speed is no ride."""


def speed(report: Report) -> Markup | None:
    """None where no usable fix told a speed."""
    named = Named(SORT, report.series["speed"])
    if not named.columns:
        return None
    words = Words("speed", "Speed", _says(named, report))
    drawn = strip(Chart(words, [Curve("speed", named.columns, "a")], report.times, (0.0, LEAST_MPS)))
    return framed(Frame(words, figures=over_time([named], report.times)), drawn)


def _says(named: Named, report: Report) -> str:
    totals = report.totals
    held = ""
    if totals and totals.fastest_mps is not None:
        kmh = rounded(totals.fastest_mps * 3.6, "km/h", 1)
        held = f" Fastest that was held: {rounded(totals.fastest_mps, 'm/s', 1)}, {kmh}."
    return f"Metres a second over ground, as the receiver tells it, of usable fixes: {named.range_words}.{held}"
