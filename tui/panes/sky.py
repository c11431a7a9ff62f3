"""The sky as the receiver reports it: satellites by direction, elevation and signal.

The middle is overhead, the rim the horizon, and the distance between is linear in zenith distance. A satellite in the
fix is a filled pill, a tracked one a marker and a name, one that is not tracked two dots and a grey name: three shapes,
so that colour only adds to them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from math import floor
from typing import NamedTuple

from core.fix import Satellite
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import PILL_PAPERS, SIGNAL_INKS, Ink, signal_step
from tui.canvas.palettes import Palette
from tui.canvas.rows import PUSH, put_row
from tui.canvas.widget import CanvasPane
from tui.panes.dial import up_span, write_lines
from tui.panes.places import INWARDS, Spot
from tui.panes.sky_base import IN_FIX_MASK, LOST_MASK, SILENT_MASK, TRACKED_MASK, Base, Legend, base_for
from tui.panes.sky_table import draw_table, name_span

SMALLEST = (26, 12)
"""Columns and rows below which the plot becomes a table: names would cover more than half of it."""

ROOM_FOR_WHY = 56
"""Columns from which a satellite that is imagined away says why: in less, the words would push out other names."""
MOST_PLACES = 256
"""Remembered places: more names than all systems have satellites are garbage, and garbage must not pile up."""


NO_DIRECTIONS = "None of the satellites in view has a direction yet"


class SkyView(NamedTuple):
    """What the pane shows."""

    satellites: tuple[Satellite, ...] = ()
    up_deg: float = 0.0
    """True bearing at the top of the plot; 0 is north-up."""
    stale: bool = False
    """Too old to be taken for the present sky."""
    note: str = "No satellites reported yet"
    """Why nothing is shown, when nothing is."""
    lost: tuple[tuple[str, str], ...] = ()
    """Names that a what-if takes away, each with a word why."""
    status: str = ""
    """What the last row says in the place of the counts."""
    has_shades: bool = True
    """Whether strong and weak signals differ in colour: without that a legend of their shades says nothing."""


def draw_sky(
    grid: Grid, view: SkyView, places: dict[str, int] | None = None, under: Callable[[Grid, Base], None] | None = None
) -> None:
    """Draw the sky into a blank grid.

    `places` remembers from frame to frame where each name was, and is updated. `under` draws below markers and names.
    """
    satellites = strongest_first(view.satellites)
    if grid.width < SMALLEST[0] or grid.height < SMALLEST[1]:
        draw_table(grid, satellites, counts(satellites, grid.width - 2) or view.note, stale=view.stale)
        return
    legend = Legend.ALL if view.has_shades else Legend.MARKS
    base = base_for(grid.width, grid.height, round(view.up_deg) % 360, legend=legend)
    grid.copy_from(base.grid)
    if under:
        under(grid, base)
    if satellites:
        _Plot(grid, base, view, {} if places is None else places).draw(satellites)
        _write_status(grid, satellites, view.status)
    else:
        write_lines(grid, base.dial.centre, view.note, int(base.dial.radius))


def strongest_first(satellites: Iterable[Satellite]) -> list[Satellite]:
    """Those in the fix before the others, then by signal, then by name."""
    return sorted(satellites, key=lambda s: (not s.in_fix, -(s.cno_dbhz or 0), s.name))


def counts(satellites: Iterable[Satellite], width: int) -> str:
    """In words that fit, for example `in the fix 9 of 14 in view`; empty when there are none."""
    used = [satellite.in_fix for satellite in satellites]
    text = f"in the fix {sum(used)} of {len(used)}"
    return "" if not used else f"{text} in view" if len(text) + 8 <= width else text


def is_placed(satellite: Satellite) -> bool:
    """Whether its direction is known and above the horizon. Others are listed, never drawn at a guess."""
    return satellite.azimuth_deg is not None and satellite.elevation_deg is not None and satellite.elevation_deg >= 0


class _Plot:
    """One frame in the making: the grid and what of it is taken."""

    def __init__(self, grid: Grid, base: Base, view: SkyView, places: dict[str, int]) -> None:
        self.grid = grid
        self.crowd = base.crowd.copy()
        self.dial = base.dial
        self.view = view
        self.lost = dict(view.lost)
        self.places = places

    def draw(self, satellites: list[Satellite]) -> None:
        """All markers first: names must stay clear of every one of them. The strongest lie on top."""
        if len(self.places) > MOST_PLACES:
            self.places.clear()
        cells = [(satellite, self._cell(satellite)) for satellite in satellites if is_placed(satellite)]
        if not cells:
            # An empty sky beside a count of satellites looks like a fault of the board.
            write_lines(self.grid, self.dial.centre, NO_DIRECTIONS, int(self.dial.radius))
            return
        for satellite, cell in reversed(cells):
            self._mark(satellite, cell)
        for satellite, cell in cells:
            self._name(satellite, cell)
        self._write_elevations()

    def _cell(self, satellite: Satellite) -> tuple[int, int]:
        zenith = 1 - (satellite.elevation_deg or 0) / 90
        x, y = self.dial.at(zenith, (satellite.azimuth_deg or 0) - self.view.up_deg)
        return floor(x + 0.5) >> 1, floor(y + 0.5) >> 2

    def _mark(self, satellite: Satellite, cell: tuple[int, int]) -> None:
        step = signal_step(satellite.cno_dbhz)
        mask = IN_FIX_MASK if satellite.in_fix else TRACKED_MASK if step else SILENT_MASK
        ink = Ink.STALE if self.view.stale else SIGNAL_INKS[step]
        if satellite.name in self.lost:
            mask, ink = LOST_MASK, Ink.WARN
        self.grid.stamp(*cell, mask, ink)
        self.crowd.take(*cell)

    def _name(self, satellite: Satellite, cell: tuple[int, int]) -> None:
        settled = self._settle(satellite, cell)
        if settled is None:
            self.places.pop(satellite.name, None)
            return
        spot, span = settled
        self.places[satellite.name] = spot.place
        self.grid.put(spot.x, spot.y, span)
        if span.paper is not None and spot.beside:
            self.grid.stamp(*cell, TRACKED_MASK, span.ink)
            self.grid.paper(*cell, 1, span.paper)

    def _settle(self, satellite: Satellite, cell: tuple[int, int]) -> tuple[Spot, Span] | None:
        """The longest label that finds a place."""
        order = self._order(satellite.name, cell)
        for span in self._labels(satellite):
            spot = self.crowd.place(cell, len(span.text), order, pill=span.paper is not None)
            if spot is not None:
                return spot, span
        return None

    def _labels(self, satellite: Satellite) -> tuple[Span, ...]:
        """One that is imagined away is no pill, has a minus before it, and says why where there is room."""
        why = self.lost.get(satellite.name)
        if why is None:
            return (name_span(satellite, stale=self.view.stale),)
        texts = (f"-{satellite.name} {why}", f"-{satellite.name}")
        return tuple(Span(text, Ink.WARN) for text in texts[self.grid.width < ROOM_FOR_WHY :])

    def _order(self, name: str, cell: tuple[int, int]) -> tuple[int, ...]:
        order = INWARDS[2 * cell[0] >= self.dial.centre[0]]
        return order if name not in self.places else (self.places[name], *order)

    def _write_elevations(self) -> None:
        """Figures on the inner rings, where no satellite needs the room."""
        for elevation in (30, 60):
            x, y = self.dial.at(1 - elevation / 90, 135)
            cell = floor(x + 0.5) >> 1, floor(y + 0.5) >> 2
            if self.crowd.is_free(*cell, 3):
                self.grid.text(*cell, f"{elevation}°", Ink.MUTED)


def _write_status(grid: Grid, satellites: list[Satellite], status: str) -> None:
    """The last row: counts, and who is in view without a place in the plot."""
    missing = [satellite.name for satellite in satellites if not is_placed(satellite)]
    remarks = (f"not placed: {' '.join(missing)}", f"not placed: {len(missing)}") if missing else ()
    left = status or counts(satellites, grid.width - 2)
    right = next((text for text in remarks if len(left) + len(text) + 4 <= grid.width), "")
    put_row(grid, grid.height - 1, (Span(left, Ink.MUTED), PUSH, Span(right, Ink.MUTED)))


class SkyPane(CanvasPane):
    """The sky plot as a pane."""

    caption = "Sky"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, classes=classes)
        self._view = SkyView()
        self._places: dict[str, int] = {}

    def show(self, view: SkyView) -> None:
        """Show this from now on; a view equal to the last costs nothing."""
        if view != self._view:
            self._view = view
            self.aside = up_span(view.up_deg, stale=view.stale)
            self.repaint()

    def paint(self, grid: Grid) -> None:
        """Draw the view."""
        draw_sky(grid, self.seen(self._view), self._places)

    def seen(self, view: SkyView) -> SkyView:
        """The view in the colours that there are."""
        return view._replace(has_shades=has_shades(self.palette))

    def watch_palette(self) -> None:
        """The legend hangs on it, and is no matter of colour alone."""
        super().watch_palette()
        self.repaint()


@cache
def has_shades(palette: Palette) -> bool:
    """Whether strong and weak signals differ in colour. Weight does not count: bold on its own paper is not seen."""
    styles = [palette.style(Ink.PILL, paper) for paper in PILL_PAPERS[1:]]
    return len({(style.color, style.bgcolor) for style in styles}) > 1
