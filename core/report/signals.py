"""Signal by elevation: low satellites are heard through more air, leaves and walls."""

from __future__ import annotations

from core.report.axes import Axis
from core.report.figures import Frame, Key, Shape, framed
from core.report.markup import Markup, tag
from core.report.model import Report
from core.report.svg import Box, Words, dot, drawing, label, straight
from core.report.tables import folded, table
from core.report.words import number
from core.signal_by_elevation import BAND_DEG, SignalBand

SIZE = (480.0, 480.0)
PLOT = Box(56.0, 16.0, 468.0, 440.0)
ALONG = Axis(10.0, 60.0, PLOT.left, PLOT.right)
"""dB-Hz: what receivers report (trade-facts.md a); what lies beyond is drawn at the edge."""
UPRIGHT = Axis(0.0, 90.0, PLOT.bottom, PLOT.top)


def signals(report: Report) -> Markup | None:
    """None where none was heard."""
    bands = report.sky.signal
    if not bands:
        return None
    total = sum(one.count for one in bands)
    low, high = bands[0], bands[-1]
    says = (
        f"Of all systems, {number(total)} looks. Median {low.median_dbhz} dB-Hz from {low.elevation_deg}° up, "
        f"{high.median_dbhz} dB-Hz from {high.elevation_deg}° up."
    )
    words = Words("signals", "Signal by elevation", says)
    drawn = drawing(words, SIZE, _grid(), *(_band(one) for one in bands))
    keys = [
        Key("mark start", "median, dB-Hz, across; elevation upwards", Shape.DOT),
        Key("spread", "eight of ten between"),
    ]
    return framed(Frame(words, keys, _table(bands), kind="half"), drawn)


def _grid() -> Markup:
    drawn: list[Markup] = []
    for dbhz in range(10, 61, 10):
        x = ALONG.at(dbhz)
        drawn += [
            straight((x, PLOT.top), (x, PLOT.bottom), "rule"),
            label((x, PLOT.bottom + 8), f"{dbhz}", "mid-x under"),
        ]
    for elevation in range(0, 91, 15):
        y = UPRIGHT.at(elevation)
        drawn += [
            straight((PLOT.left, y), (PLOT.right, y), "rule"),
            label((PLOT.left - 8, y), f"{elevation}°", "end mid"),
        ]
    return tag("g", *drawn)


def _band(one: SignalBand) -> Markup:
    y = UPRIGHT.at(one.elevation_deg + BAND_DEG / 2)
    ends = (ALONG.at(one.low_dbhz), y), (ALONG.at(one.high_dbhz), y)
    return tag("g", straight(*ends, "spread"), dot((ALONG.at(one.median_dbhz), y), 4.5, "mark start"))


def _table(bands: tuple[SignalBand, ...]) -> Markup:
    rows = [
        (
            f"{one.elevation_deg}° to {one.elevation_deg + BAND_DEG}°",
            f"{one.median_dbhz}",
            f"{one.low_dbhz} to {one.high_dbhz}",
            number(one.count),
        )
        for one in bands
    ]
    heads = ("elevation", "median", "eight of ten between", "looks")
    return folded("Figures of this chart", table("Signal by elevation, dB-Hz", heads, rows))
