"""The sky as a list, for panes too small to plot it."""

from __future__ import annotations

from collections.abc import Sequence

from core.fix import Satellite
from tui.canvas.cells import fitted
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import PILL_PAPERS, SIGNAL_INKS, Ink, Paper, signal_step

_LONG, _SHORT = 23, 11
"""Cells for an entry with direction, and for name and signal alone; both with the blanks that keep columns apart."""
_HEADINGS = "sat dB-Hz  elev  azim"
_HEADED_FROM_ROWS = 4
_ROWS_WITH_ENTRIES = 2


def draw_table(grid: Grid, satellites: Sequence[Satellite], closing: str, *, stale: bool) -> None:
    """Satellites in the order given, down and then across; the last row, or the only one, is the closing line."""
    if grid.height < _ROWS_WITH_ENTRIES:
        grid.text(1, grid.height - 1, fitted(closing, grid.width - 2), Ink.MUTED)
        return
    top = 1 if grid.height >= _HEADED_FROM_ROWS and satellites else 0
    rows = grid.height - 1 - top
    width = _LONG if -(-len(satellites) // rows) * _LONG <= grid.width else _SHORT
    columns = max(1, grid.width // width)
    for n, satellite in enumerate(satellites[: rows * columns]):
        x = n // rows * width + 1
        grid.text(x, top - 1, _HEADINGS[: width - 2], Ink.MUTED)
        _write_entry(grid, (x, top + n % rows), _entry(satellite, stale=stale)[: 2 if width == _SHORT else 4])
    hidden = len(satellites) - rows * columns
    more = f", {hidden} more" if hidden > 0 else ""
    grid.text(1, grid.height - 1, fitted(closing + more, grid.width - 2), Ink.MUTED)


def _write_entry(grid: Grid, at: tuple[int, int], spans: Sequence[Span]) -> None:
    for column, span in zip((0, 4, 10, 16), spans, strict=False):
        grid.put(at[0] + column, at[1], span)


def _entry(satellite: Satellite, *, stale: bool) -> tuple[Span, ...]:
    value, label = (Ink.STALE, Ink.STALE) if stale else (Ink.TEXT, Ink.MUTED)
    return (
        name_span(satellite, stale=stale),
        Span(_figure(satellite.cno_dbhz), value),
        Span(_figure(satellite.elevation_deg, "°"), label),
        Span(_figure(satellite.azimuth_deg, "°"), label),
    )


def name_span(satellite: Satellite, *, stale: bool) -> Span:
    """A satellite's name as a pill when it is in the fix, else plain, in the ink of its signal."""
    step = signal_step(satellite.cno_dbhz)
    if satellite.in_fix:
        return Span(satellite.name, Ink.PILL, bold=True, paper=pill_paper(step, stale=stale))
    return Span(satellite.name, Ink.STALE if stale else SIGNAL_INKS[step])


def pill_paper(step: int, *, stale: bool) -> Paper:
    """The paper of a pill: the signal's step, the weakest without a signal, or the grey of a stale one."""
    return PILL_PAPERS[0] if stale else PILL_PAPERS[max(1, step)]


def _figure(value: int | None, unit: str = "") -> str:
    """Right-aligned in five cells; blank when the receiver did not say."""
    return "" if value is None else f"{value}{unit}".rjust(5)
