"""What the sky's page shows besides this moment: tracks, signal, obstruction; and a skyline over the plot."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from math import atan2, degrees, hypot

from core.obstruction import HIDDEN_SHARE, SECTOR_DEG, Edge, ObstructionMap
from core.signal_by_elevation import ALL, BAND_DEG, SignalBand
from core.sky_memory import TrackPlace
from core.what_if import WhatIf
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import SIGNAL_INKS, Ink, signal_step
from tui.canvas.rows import put_row
from tui.panes.dial import Dial
from tui.panes.signals import SYSTEMS
from tui.panes.sky_base import base_for

HATCH_DEG = 6
"""Between two lines of the hatching of what is imagined to be hidden."""
HIDDEN_MASK, PARTLY_MASK, FREE_MASK = 0xFF, 0x5A, 0x10
"""Cells by their dots: full where hidden, half where it comes and goes, one dot where free; none where nobody knows."""
PARTLY = 0.1
"""Without signal for more than this share of the time, a cell is not simply free."""
LOW_DBHZ, HIGH_DBHZ = 15, 55
"""Ends of the scale of signals; what lies beyond is drawn at its end."""
ALL_MARK = "o"
NEAR_DOTS = 12
"""Two places of a track farther apart than this are not joined: what lay between is not known."""
OBSTRUCTION_WORDS = (
    "full: no signal  half: at times  dot: free  blank: unknown  line: skyline, estimated",
    "full: hidden half: at times dot: free line: skyline",
    "full hidden, half at times, dot free",
)
HEARD_ONLY_WORDS = (
    "This receiver lists only what it hears: free is known (dots), hidden is not.",
    "lists only what it hears: dots free",
)
"""Longest first."""


def draw_skyline(grid: Grid, dial: Dial, up_deg: float, change: WhatIf) -> None:
    """What is imagined to be hidden: hatched from the rim up to the skyline."""
    if change.mask_deg == 0 and change.cliff is None and change.street is None:
        return
    for azimuth in range(0, 360, 2):
        edge = min(90.0, change.skyline_deg(azimuth))
        if edge <= 0.0:
            continue
        top = dial.at(1 - edge / 90, azimuth - up_deg)
        if azimuth % HATCH_DEG == 0:
            grid.line(dial.at(1, azimuth - up_deg), top, Ink.WARN, 2)
        grid.dot(*top, Ink.WARN)


def draw_tracks(grid: Grid, dial: Dial, up_deg: float, tracks: Mapping[str, Sequence[TrackPlace]]) -> None:
    """A dot for each place, in the ink of the signal that it had there."""
    for places in tracks.values():
        before = None
        for place in places:
            at = dial.at(1 - place.elevation_deg / 90, place.azimuth_deg - up_deg)
            ink = SIGNAL_INKS[signal_step(place.cno_dbhz)]
            if before is not None and not place.begins and hypot(at[0] - before[0], at[1] - before[1]) < NEAR_DOTS:
                grid.line(before, at, ink)
            else:
                grid.dot(*at, ink)
            before = at


def draw_obstruction(grid: Grid, seen: ObstructionMap, up_deg: float) -> None:
    """The sky by cells: hidden, coming and going, free, unknown; and the skyline as far as it can be told."""
    base = base_for(grid.width, grid.height, round(up_deg) % 360, legend=False)
    grid.copy_from(base.grid)
    for x, y, azimuth, elevation in _sky_cells(grid.width, grid.height):
        look = _look(seen.cell(azimuth + up_deg, elevation).hidden_share, tells_hidden=seen.tells_hidden)
        if look:
            grid.stamp(x, y, *look)
    if seen.tells_hidden:
        for edge in seen.skyline():
            _draw_edge(grid, base.dial, up_deg, edge)
    _write_fitting(grid, OBSTRUCTION_WORDS if seen.tells_hidden else HEARD_ONLY_WORDS)


@lru_cache(maxsize=4)
def _sky_cells(width: int, height: int) -> tuple[tuple[int, int, float, float], ...]:
    """Column, row, direction from the top and elevation of each cell inside the rim."""
    dial = base_for(width, height, 0, legend=False).dial
    found = []
    for y in range(height - 1):
        for x in range(width):
            dx, dy = 2 * x + 0.5 - dial.centre[0], 4 * y + 1.5 - dial.centre[1]
            share = hypot(dx, dy) / dial.radius
            if share <= 1.0:
                found.append((x, y, degrees(atan2(dx, -dy)), 90.0 * (1.0 - share)))
    return tuple(found)


def _look(hidden: float | None, *, tells_hidden: bool) -> tuple[int, Ink] | None:
    """Dots and ink of a cell; None where nothing is known."""
    if hidden is None:
        return None
    if not tells_hidden or hidden <= PARTLY:
        return FREE_MASK, Ink.SIGNAL_3
    return (HIDDEN_MASK if hidden > HIDDEN_SHARE else PARTLY_MASK), Ink.WARN


def _draw_edge(grid: Grid, dial: Dial, up_deg: float, edge: Edge) -> None:
    """A line half-way between hidden and free; dots where nothing above was found free: so high at least."""
    if edge.at_least_deg is None:
        return
    sure = edge.at_most_deg is not None
    elevation = (edge.at_least_deg + edge.at_most_deg) / 2 if edge.at_most_deg is not None else edge.at_least_deg
    for tenth in range(0, 10 * SECTOR_DEG + 1, 4 if sure else 25):
        azimuth = edge.azimuth_deg - SECTOR_DEG / 2 + tenth / 10
        grid.dot(*dial.at(1 - elevation / 90, azimuth - up_deg), Ink.TEXT)


def _write_fitting(grid: Grid, words: Iterable[str]) -> None:
    """In the last row, the first that fits."""
    text = next((text for text in words if len(text) <= grid.width - 2), "")
    put_row(grid, grid.height - 1, (Span(text, Ink.MUTED),))


def draw_signal(grid: Grid, bands: Sequence[SignalBand], together: Sequence[SignalBand]) -> None:
    """C/N0 upwards, elevation to the right: a line from a tenth to nine tenths in each band, the median marked.

    All systems together would hide that one is weak: they stand side by side within a band, if there is a column for
    each; else `together` is drawn.
    """
    left, wide, tall = 6, grid.width - 8, grid.height - 3
    systems = sorted({band.system for band in bands})
    if len(systems) * 90 // BAND_DEG > wide:
        bands, systems = together, [ALL]
    _draw_axes(grid, (left, wide, tall))
    for band in bands:
        lane = (systems.index(band.system) + 0.5) / len(systems)
        _draw_band(grid, 2 * left + (band.elevation_deg + BAND_DEG * lane) / 90 * 2 * wide, tall, band)
    total = sum(band.count for band in together)
    grid.text(left, tall + 1, f"elevation; C/N0 in dB-Hz; {total} signals", Ink.MUTED)
    names = ", ".join(f"{letter} {SYSTEMS.get(letter, letter)}" for letter in systems)
    mark = "letter" if systems != [ALL] else f"{ALL_MARK}, all systems"
    short = f"{mark}: median, line: 10 to 90 %"
    _write_fitting(grid, (f"{short}. {names}" if systems != [ALL] else short, short))


def _draw_band(grid: Grid, x: float, tall: int, band: SignalBand) -> None:
    low, middle, high = (_height(value, tall) for value in (band.low_dbhz, band.median_dbhz, band.high_dbhz))
    ink = SIGNAL_INKS[signal_step(band.median_dbhz)]
    grid.line((x, low), (x, high), ink)
    grid.text(int((x + 0.5) // 2), int(middle // 4), band.system or ALL_MARK, ink)


def _height(cno_dbhz: float, tall: int) -> float:
    share = (min(max(cno_dbhz, LOW_DBHZ), HIGH_DBHZ) - LOW_DBHZ) / (HIGH_DBHZ - LOW_DBHZ)
    return (1.0 - share) * (4 * tall - 1)


def _draw_axes(grid: Grid, room: tuple[int, int, int]) -> None:
    left, wide, tall = room
    for value in range(LOW_DBHZ, HIGH_DBHZ + 1, 10):
        y = _height(value, tall)
        grid.line((2 * left, y), (2 * (left + wide), y), Ink.FAINT, 4)
        grid.put(1, int(y // 4), Span(f"{value:>3}", Ink.MUTED))
    for elevation in range(0, 91, 30):
        x = left + round(elevation / 90 * wide)
        grid.text(min(x, grid.width - 4), tall, f"{elevation}°", Ink.MUTED)
