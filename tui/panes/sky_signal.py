"""Signal against elevation: a strip for each system, since all together would hide that one of them is weak.

Each band of elevation has its median as a bar, and from a tenth to nine tenths of what was heard there as a line.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

from core.signal_by_elevation import ALL, BAND_DEG, SignalBand
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import SIGNAL_INKS, Ink, signal_step
from tui.canvas.rows import put_row
from tui.panes.signals import SYSTEMS

TICK_DB = 10
"""Between two lines of the scale, which begins and ends at one: as far as the signals of the session reach."""
LEAST_ROWS = 5
"""Of a strip."""
LEAST = (28, LEAST_ROWS + 2)
"""Columns and rows of the chart."""
LABEL, SCALE = 13, 4
"""Columns for name and count at the left, for the scale at the right."""
NAMES = {**SYSTEMS, ALL: "all", "S": "augment."}
TICKS_DEG = (0, 30, 60, 90)


class Frame(NamedTuple):
    """Where a strip lies, in dots."""

    left: int
    top: int
    wide: int
    high: int
    scale: tuple[int, int]
    """Weakest and strongest signal, dB-Hz."""

    def x(self, elevation_deg: float) -> float:
        """The column of an elevation."""
        return self.left + elevation_deg / 90 * (self.wide - 1)

    def y(self, cno_dbhz: float) -> float:
        """The row of a signal."""
        low, high = self.scale
        share = (cno_dbhz - low) / (high - low)
        return self.top + (1.0 - share) * (self.high - 1)


def draw_signal(grid: Grid, bands: Sequence[SignalBand], together: Sequence[SignalBand]) -> None:
    """Draw into a blank grid that is no smaller than `LEAST`; `together` is drawn where not every system has room."""
    systems = {letter: list(found) for letter, found in groupby(bands, key=lambda band: band.system)}
    if len(systems) > (grid.height - 2) // LEAST_ROWS:
        systems = {ALL: list(together)}
    tall = (grid.height - 2) // max(1, len(systems))
    scale = _scale([band for found in systems.values() for band in found])
    for number, (letter, found) in enumerate(systems.items()):
        frame = Frame(2 * LABEL, 4 * number * tall, 2 * (grid.width - LABEL - SCALE), 4 * tall - 2, scale)
        _draw_strip(grid, frame, letter, found)
    _write_axis(grid, len(systems) * tall)


def _scale(bands: Sequence[SignalBand]) -> tuple[int, int]:
    """The same for all strips, or they could not be compared."""
    low = min((band.low_dbhz for band in bands), default=0) // TICK_DB * TICK_DB
    high = max((band.high_dbhz for band in bands), default=0)
    return low, max(low + 2 * TICK_DB, -(-high // TICK_DB) * TICK_DB)


def _readings(bands: list[SignalBand]) -> int:
    return sum(band.count for band in bands)


def _draw_strip(grid: Grid, frame: Frame, letter: str, bands: list[SignalBand]) -> None:
    row = frame.top // 4
    grid.put(1, row, Span(NAMES.get(letter, letter)[: LABEL - 2], Ink.TITLE, bold=True))
    grid.text(1, row + 1, f"{_readings(bands):,}"[: LABEL - 2], Ink.MUTED)
    grid.text(1, row + 2, "readings", Ink.MUTED)
    low, high = frame.scale
    for cno in range(low, high + 1, TICK_DB):
        grid.line((frame.left, frame.y(cno)), (frame.left + frame.wide, frame.y(cno)), Ink.FAINT, 6)
        grid.text(grid.width - SCALE + 1, int(frame.y(cno)) // 4, f"{cno}", Ink.MUTED)
    for band in bands:
        _draw_band(grid, frame, band)


def _draw_band(grid: Grid, frame: Frame, band: SignalBand) -> None:
    start, end = frame.x(band.elevation_deg), frame.x(band.elevation_deg + BAND_DEG) - 1
    middle = (start + end) / 2
    grid.line((middle, frame.y(band.high_dbhz)), (middle, frame.y(band.low_dbhz)), Ink.MUTED)
    median = frame.y(band.median_dbhz)
    grid.line((start, median), (max(start, end), median), SIGNAL_INKS[signal_step(band.median_dbhz)])


def _write_axis(grid: Grid, row: int) -> None:
    """Elevations below the lowest strip, and what the marks mean."""
    frame = Frame(2 * LABEL, 0, 2 * (grid.width - LABEL - SCALE), 4, (0, 1))
    grid.text(1, row, "elevation", Ink.MUTED)
    for elevation in TICKS_DEG:
        grid.text(min(int(frame.x(elevation)) // 2, grid.width - 4), row, f"{elevation}°", Ink.MUTED)
    put_row(grid, grid.height - 1, (Span("dB-Hz; bar: median  line: 10 to 90 %", Ink.MUTED),))
