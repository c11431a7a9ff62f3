"""Strip charts of the last minutes, under each other on one time axis, the newest at the right."""

from __future__ import annotations

from typing import NamedTuple

from textual.reactive import reactive

from core.series import Sample
from core.units import UNITS, Unit, in_use
from tui import wording
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.rows import put_words
from tui.canvas.widget import CanvasPane
from tui.state import BoardState

SPANS_S = (120.0, 300.0, 900.0, 1800.0, 3600.0)
"""Lengths of the time axis to choose from."""
LABEL = 12
"""Columns for name and figures at the left."""
SCALE = 8
"""Columns for the ends of the axes at the right."""
_ROOM_FOR_DATUM = 64
"""Columns from which the caption says what altitudes are above: the strip's own words have no room for it."""
TOLD_S = 3.0
"""So long before the window's end a figure counts as told at its end: two epochs missed at one a second (ours)."""
LEAST_ROWS = 3
"""Of a strip, the last of them blank: under the lowest one it has the times."""


class Strip(NamedTuple):
    """One figure over time."""

    name: str
    field: str
    unit: str
    least_range: float
    """The axis never shows less than this: noise must not look like news."""
    digits: int
    floor: float = 0.0
    """What the figure cannot be below."""
    is_told: bool = True
    """Whether the receiver still says it at the end of the window: of what it no longer says there is no figure."""


STRIPS = (
    Strip("in the fix", "in_fix", "", 4.0, 0),
    Strip("HDOP", "hdop", "", 1.0, 1),
    Strip("best four", "best_four_dbhz", "dB-Hz", 10.0, 0),
    Strip("altitude", "altitude_m", "m", 10.0, 0, float("-inf")),
    Strip("speed", "speed_mps", "m/s", 2.0, 1),
)


class ChartsPane(CanvasPane):
    """All strips that fit."""

    caption = "Charts"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        self._tell()
        self.repaint()

    def on_resize(self, event: object) -> None:
        """Other widths have room for other words."""
        del event
        self._tell()

    def _tell(self) -> None:
        state = self.state
        end = "now" if not state.chart_back_s else f"{wording.age(state.chart_back_s)} ago"
        words = f"{wording.age(SPANS_S[state.chart_span])} up to {end}"
        has_room = self.size.width >= _ROOM_FOR_DATUM
        self.aside = Span(f"altitude: mean sea level   {words}" if has_room else words, Ink.MUTED)

    def paint(self, grid: Grid) -> None:
        """Each strip gets an equal share of the height, three rows at least; the times are under the last."""
        samples = self.state.snapshot.samples
        if not samples:
            put_words(grid, "nothing to draw yet: charts begin with the first report of the receiver")
            return
        count = max(1, min(len(STRIPS), grid.height // LEAST_ROWS))
        tops = [number * grid.height // count for number in range(count + 1)]
        end_s = samples[-1].at_s - self.state.chart_back_s
        window = (end_s - SPANS_S[self.state.chart_span], end_s)
        for number, strip in enumerate(STRIPS[:count]):
            unit = unit_of(strip)
            found = [(share, value / unit.size) for share, value in points(samples, strip.field, window)]
            digits = in_use().height_decimals(strip.digits) if strip.unit == "m" else strip.digits
            shown = strip._replace(
                unit=unit.name,
                least_range=strip.least_range / unit.size,
                digits=digits,
                is_told=_is_told(samples, strip.field, window[1]),
            )
            _draw(grid, shown, (tops[number], tops[number + 1] - tops[number]), found)
        if grid.height >= LEAST_ROWS:
            _write_times(grid, self.state.chart_back_s, SPANS_S[self.state.chart_span])


def unit_of(strip: Strip) -> Unit:
    """What the figure is shown in: heights and speeds in the user's units."""
    name = {"m": in_use().height, "m/s": in_use().speed}.get(strip.unit) or strip.unit
    return UNITS.get(name) or Unit(name, 1.0)


def points(samples: tuple[Sample, ...], field: str, window: tuple[float, float]) -> list[tuple[float, float]]:
    """Share of the window (0 to 1) and value, of the samples within it that have one."""
    start, end = window
    found = []
    for one in samples:
        value = getattr(one, field)
        if value is not None and start <= one.at_s <= end:
            found.append(((one.at_s - start) / (end - start), float(value)))
    return found


def _is_told(samples: tuple[Sample, ...], field: str, end_s: float) -> bool:
    """Whether one of the window's last epochs has a value: a single one without is no news."""
    newest = next((one.at_s for one in reversed(samples) if one.at_s <= end_s), end_s)
    told = (getattr(one, field) is not None for one in samples if newest - TOLD_S <= one.at_s <= newest)
    return any(told)


def axis(values: list[float], least: float, floor: float = float("-inf")) -> tuple[float, float]:
    """Lower and upper end: all values, at least `least` between, and nothing below what the figure can be."""
    low, high = min(values), max(values)
    short = max(0.0, least - (high - low)) / 2
    low = max(floor, low - short)
    return low, max(high + short, low + least)


def _draw(grid: Grid, strip: Strip, rows: tuple[int, int], found: list[tuple[float, float]]) -> None:
    top, tall = rows
    grid.text(1, top, strip.name, Ink.TITLE)
    if not found:
        grid.text(1, top + 1, "not told", Ink.MUTED)
        return
    low, high = axis([value for _, value in found], strip.least_range, strip.floor)
    newest = f"{found[-1][1]:.{strip.digits}f} {strip.unit}".rstrip()
    grid.put(1, top + 1, Span(newest) if strip.is_told else Span(wording.UNKNOWN, Ink.MUTED))
    _scale(grid, strip, rows, (low, high))
    left, wide = LABEL * 2, (grid.width - LABEL - SCALE) * 2
    upper, high_dots = top * 4, max(1, (tall - 1) * 4 - 1)
    for share, value in found:
        grid.dot(left + share * (wide - 1), upper + high_dots * (1 - (value - low) / (high - low)), Ink.TRAIL)


def _write_times(grid: Grid, back_s: float, span_s: float) -> None:
    """What begin, middle and end of the time axis are, before the newest epoch."""
    wide = grid.width - LABEL - SCALE
    after = 0
    for share in (0.0, 0.5, 1.0):
        before_min = (back_s + span_s * (1 - share)) / 60
        text = f"-{before_min:g} min" if before_min else "now"
        x = LABEL + round(share * (wide - len(text)))
        if x >= after and x + len(text) <= grid.width:
            after = grid.put(x, grid.height - 1, Span(text, Ink.MUTED)) + 2


def _scale(grid: Grid, strip: Strip, rows: tuple[int, int], ends: tuple[float, float]) -> None:
    """Upper and lower end of the axis, at the right."""
    top, tall = rows
    for y, value in ((top, ends[1]), (top + max(1, tall - 2), ends[0])):
        text = f"{value:.{strip.digits}f}"
        grid.put(grid.width - 1 - len(text), y, Span(text, Ink.MUTED))
