"""A chart over time: lines that break where nothing was told, round figures on both axes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from core.report.axes import Axis, decimals, ticks
from core.report.columns import Column, extremes, runs
from core.report.markup import Markup, tag
from core.report.svg import Box, Words, drawing, label, path, straight
from core.report.times import Times
from core.report.words import number

WIDTH, HEIGHT = 720.0, 190.0
PLOT = Box(92.0, 12.0, WIDTH - 10.0, HEIGHT - 34.0)


class Curve(NamedTuple):
    """One line."""

    name: str
    columns: tuple[Column, ...]
    style: str
    """a, b or c: solid, dashed or dotted, in three inks, never told apart by colour alone."""


class Chart(NamedTuple):
    """What is drawn."""

    words: Words
    curves: Sequence[Curve]
    times: Times
    least: tuple[float | None, float | None] = (None, None)
    """The axis reaches at least from the first to the second; None: as the values do."""
    levels: Sequence[tuple[float, str]] = ()
    """Names in the place of figures on the upright axis."""
    most: float | None = None
    """What lies above is drawn at the edge."""


def strip(chart: Chart, *more: Markup) -> Markup:
    """The drawing; `more` is drawn on top of it."""
    levels = list(chart.levels) or _levels(chart)
    upright = Axis(levels[0][0], levels[-1][0], PLOT.bottom, PLOT.top)
    along = along_axis(chart.times)
    lines = (path(_pieces(curve.columns, along, upright), f"curve {curve.style}") for curve in chart.curves)
    return drawing(
        chart.words,
        (WIDTH, HEIGHT),
        _grid(levels, upright),
        _times(chart.times, along),
        *(one for one in lines if one),
        *more,
    )


def along_axis(times: Times) -> Axis:
    """Time, from the recording's beginning to its end."""
    return Axis(0.0, max(times.end_s, 1.0), PLOT.left, PLOT.right)


def _levels(chart: Chart) -> list[tuple[float, str]]:
    ends = [found for curve in chart.curves if (found := extremes(curve.columns))]
    low = min([one[0] for one in ends] + [value for value in chart.least[:1] if value is not None], default=0.0)
    high = max([one[1] for one in ends] + [value for value in chart.least[1:] if value is not None], default=1.0)
    if chart.most is not None:
        high = min(high, chart.most)
    figures = ticks(low, max(high, low + 1e-6), 4)
    places = decimals(figures)
    return [(figure, number(figure, places)) for figure in figures]


def _pieces(columns: tuple[Column, ...], along: Axis, upright: Axis) -> list[list[tuple[float, float]]]:
    return [[(along.at(at_s), upright.at(value)) for at_s, value in piece] for piece in runs(columns)]


def _grid(levels: Sequence[tuple[float, str]], upright: Axis) -> Markup:
    drawn: list[Markup] = []
    for value, words in levels:
        y = upright.at(value)
        drawn += [straight((PLOT.left, y), (PLOT.right, y), "rule"), label((PLOT.left - 6, y), words, "end mid")]
    return tag("g", *drawn)


def _times(times: Times, along: Axis) -> Markup:
    drawn: list[Markup] = []
    for at_s, words in times.ticks():
        x = along.at(at_s)
        near_edge = "end" if x > PLOT.right - 16 else "mid-x"
        drawn.append(straight((x, PLOT.top), (x, PLOT.bottom + 4), "rule"))
        drawn.append(label((x, PLOT.bottom + 8), words, f"{near_edge} under"))
    return tag("g", *drawn)
