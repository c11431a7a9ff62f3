"""Dilution of precision over time."""

from __future__ import annotations

from core.report.figures import Frame, Key, framed
from core.report.markup import Markup
from core.report.model import Report
from core.report.strip import Chart, Curve, strip
from core.report.svg import Words
from core.report.tables import Named, Sort, over_time

MOST = 10.0
"""Drawn up to here; what is worse lies at the edge, and stands in the figures."""
_NAMES = (("hdop", "horizontal", "a"), ("vdop", "vertical", "b"), ("pdop", "position", "c"))


def dops(report: Report) -> Markup | None:
    """None where no fix told one."""
    told = [(Named(Sort(name, "", 1), report.series[key]), style) for key, name, style in _NAMES if report.series[key]]
    if not told:
        return None
    ranges = ", ".join(f"{named.sort.name} {named.range_words}" for named, _ in told)
    words = Words("dilution", "Dilution of precision", f"As the receiver tells it: {ranges}. {_edge(told)}".strip())
    curves = [Curve(named.sort.name, named.columns, style) for named, style in told]
    drawn = strip(Chart(words, curves, report.times, (0.0, 2.0), most=MOST))
    keys = [Key(f"curve {style}", named.sort.name) for named, style in told]
    return framed(Frame(words, keys, over_time([named for named, _ in told], report.times)), drawn)


def _edge(told: list[tuple[Named, str]]) -> str:
    beyond = any(column.high > MOST for named, _ in told for column in named.columns)
    return f"Above {MOST:g} the line runs along the upper edge." if beyond else ""
