"""How far A and B were apart over the last minutes; blank where they had no two fixes of one instant."""

from __future__ import annotations

from textual.reactive import reactive

from tui import wording
from tui.canvas.clip import clipped
from tui.canvas.grid import Dot, Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.widget import CanvasPane
from tui.panes.ab import length
from tui.panes.ab_state import difference_now, distances
from tui.panes.charts import SPANS_S
from tui.state import BoardState

LABEL = 10
"""Columns for the figures at the left."""
LEAST_M = 1.0
"""The axis never ends below this: noise must not look like news."""
_STEPS = (1.0, 2.0, 5.0, 10.0)
_WHOLE_M, _LONG_M = 100.0, 1000.0
"""From where on a figure of the scale has no decimals, and where it is a way rather than a length."""


class PairStrip(CanvasPane):
    """The distance against time, zero at the bottom, now at the right."""

    caption = "Distance"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        self.aside = Span(f"the last {wording.age(SPANS_S[self.state.chart_span])}, s changes that", Ink.MUTED)
        self.repaint()

    def paint(self, grid: Grid) -> None:
        """Line, scale, and as a dotted level what both errors together explain at this moment."""
        state, other = self.state, self.state.other
        if other is None:
            return
        span_s = SPANS_S[state.chart_span]
        found = distances(state, other, state.now_s - span_s)
        if not found:
            grid.text(1, 0, "no two fixes of one instant in this time", Ink.MUTED)
            return
        top_m = top_of([one for _, one in found if one is not None])
        _draw_scale(grid, top_m)
        frame = _Frame(grid, (state.now_s - span_s, span_s), top_m)
        sure_m = difference_now(state, other).worth.sure_m
        if sure_m is not None and sure_m <= top_m:
            frame.level(sure_m)
        frame.curve(found)


def top_of(values: list[float]) -> float:
    """The upper end of the axis: 1, 2 or 5 times a power of ten, not below any value."""
    most, power = max(values, default=0.0), LEAST_M
    while power * _STEPS[-1] < most:
        power *= 10.0
    return next((power * step for step in _STEPS if power * step >= most), most)


class _Frame:
    """From seconds and metres to dots."""

    def __init__(self, grid: Grid, window: tuple[float, float], top_m: float) -> None:
        self._grid = grid
        self._window = window
        self._top_m = top_m
        self._left, self._wide = LABEL * 2, max(2, (grid.width - LABEL - 1) * 2)

    def curve(self, found: list[tuple[float, float | None]]) -> None:
        """Joined within a stretch, never across a gap."""
        before: Dot | None = None
        for at_s, value in found:
            here = None if value is None else self._dot(at_s, value)
            if here is not None:
                self._grid.dot(*here, Ink.TRAIL)
                if before is not None:
                    self._line(before, here)
            before = here

    def level(self, value: float) -> None:
        """Dots, with a word."""
        y = self._y(value)
        for x in range(self._left, self._left + self._wide, 6):
            self._grid.dot(x, y, Ink.MUTED)

    def _line(self, start: Dot, end: Dot) -> None:
        seen = clipped(start, end, (self._grid.dots_wide, self._grid.dots_high))
        if seen:
            self._grid.line(*seen, Ink.TRAIL)

    def _dot(self, at_s: float, value: float) -> Dot:
        share = (at_s - self._window[0]) / self._window[1]
        return self._left + share * (self._wide - 1), self._y(value)

    def _y(self, value: float) -> float:
        return (self._grid.dots_high - 1) * (1 - value / self._top_m)


def _draw_scale(grid: Grid, top_m: float) -> None:
    for y, value in ((0, top_m), (max(1, grid.height - 1), 0.0)):
        text = scale_words(value)
        grid.put(max(1, LABEL - 1 - len(text)), y, Span(text, Ink.MUTED))


def scale_words(value_m: float) -> str:
    """A figure of the scale in the cells left of the line: `2 m`, `500 m`, `20,000 km`."""
    if _WHOLE_M <= value_m < _LONG_M:
        return wording.exact(value_m, 0)
    text = wording.distance(value_m) if value_m >= _LONG_M else length(value_m)
    return text.replace(".00 ", " ").replace(".0 ", " ")
