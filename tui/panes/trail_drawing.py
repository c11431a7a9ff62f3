"""One frame of the map: what is drawn in which order, and what is kept from frame to frame.

Below the map stands one row with the scale. The drawing of the track is kept, see trail_raster.py; which part of the
world is shown, trail_frame.py; the marks, trail_marks.py; their names, trail_names.py.
"""

from __future__ import annotations

from typing import NamedTuple

from core.fix import Position
from core.map_view import MapView, is_place, vector
from core.places.geodesic import way
from core.thinned import Thinned
from core.track import TrackView
from core.units import in_use
from tui import wording
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Dot, Grid, Span
from tui.canvas.inks import Ink
from tui.panes.dial import write_lines
from tui.panes.places import Crowd
from tui.panes.trail_frame import Framing
from tui.panes.trail_marks import cell_of, draw_beads, draw_held, draw_north, draw_off_map, draw_target, draw_you
from tui.panes.trail_names import Block, Names, around, drawn_cells
from tui.panes.trail_raster import TrailRaster, draw_end
from tui.panes.trail_view import NamedPlace, TrailView
from tui.panes.trail_waypoints import Shown, WaypointsOnMap

SMALLEST = (16, 5)
"""Columns and rows below which there is no map."""
MOST_NAMES = 60
"""Names of waypoints tried in a frame: more would cover the map."""
_NO_TRACK = TrackView((), 0)


class TrailMemory:
    """What is kept from frame to frame; one a pane."""

    def __init__(self) -> None:
        self.thinned = Thinned()
        self.framing = Framing()
        self.raster = TrailRaster()
        self.waypoints = WaypointsOnMap()
        self.places: dict[str, int] = {}
        self._crowd = Crowd(0, 0)
        self._crowd_of = 0

    def crowd(self) -> Crowd:
        """The cells that the track runs through."""
        if self._crowd_of != self.raster.version:
            self._crowd, self._crowd_of = drawn_cells(self.raster.grid), self.raster.version
        return self._crowd


def draw_trail(grid: Grid, view: TrailView, memory: TrailMemory | None = None) -> None:
    """Draw the map into a blank grid. Without a memory all is worked out anew: only for single pictures."""
    if grid.width < SMALLEST[0] or grid.height < SMALLEST[1]:
        grid.text(0, 0, "too small for a map", Ink.MUTED)
        return
    memory = memory or TrailMemory()
    view = _sound(view)
    body, foot = Grid(grid.width, grid.height - 1), Grid(grid.width, 1)
    memory.thinned.follow(view.track or _NO_TRACK)
    shown = memory.framing.frame(view, (body.dots_wide, body.dots_high), memory.thinned)
    if shown is None:
        _write_note(body, view.note)
    else:
        _Drawing(body, view, shown, memory).draw()
        _write_foot(foot, shown.metres_per_dot, view.label)
    grid.copy_from(foot.below(body))


def _sound(view: TrailView) -> TrailView:
    """Without places that are nowhere: their dots could not be worked out."""

    def sound(place: NamedPlace | None) -> NamedPlace | None:
        return place if place is not None and is_place(place[1]) else None

    here = view.here if view.here is not None and is_place(view.here) else None
    if (here, sound(view.target), sound(view.held)) == (view.here, view.target, view.held):
        return view
    return view._replace(here=here, target=sound(view.target), held=sound(view.held))


def _write_note(body: Grid, note: str) -> None:
    write_lines(body, ((body.dots_wide - 1) / 2, (body.dots_high - 1) / 2), note, body.width - 4)


def _write_foot(foot: Grid, metres_per_dot: float, label: str) -> None:
    """The scale as a line with ends, its length in words, and the label if it has room whole."""
    length_m = wording.ruler_m(metres_per_dot, foot.width * 0.6)
    start, end = 3, 3 + round(length_m / metres_per_dot)
    foot.line((start, 1), (end, 1), Ink.MUTED)
    for x in (start, end):
        foot.line((x, 0), (x, 3), Ink.MUTED)
    after = foot.text(end // 2 + 2, 0, scale_words(length_m), Ink.TEXT)
    text = one_cell_each(label)
    if after + 2 <= foot.width - 1 - len(text):
        foot.text(foot.width - 1 - len(text), 0, text, Ink.MUTED)


def scale_words(length_m: float) -> str:
    """A round length: `50 m`, `2 km`."""
    return in_use().ruler(length_m)


class _Named(NamedTuple):
    """A mark that is drawn and has no name yet."""

    block: Block
    text: str
    after: str
    ink: Ink


class _Drawing:
    """One frame in the making."""

    def __init__(self, body: Grid, view: TrailView, shown: MapView, memory: TrailMemory) -> None:
        self.grid = body
        self.view = view
        self.shown = shown
        self.memory = memory
        body.copy_from(memory.raster.bring(shown, memory.thinned, (body.width, body.height)))
        self.names = Names(body, memory.crowd(), memory.places)

    def draw(self) -> None:
        """Shapes from the least to the most important, then names from the most to the least."""
        draw_end(self.grid, self.shown, self.memory.thinned)
        draw_north(self.grid)
        self.names.take(Block(self.grid.width - 5, 0, self.grid.width - 1, 2))
        draw_beads(self.grid, self.shown, self.view.back)
        named = [self._target(self.view.target), self._held(self.view.held)]
        self._you(self.view.here)
        self._note()
        for one in named:
            if one is not None:
                self.names.write(one.block, Span(one.text, one.ink, bold=True), one.after)
        self._waypoints()

    def _dot(self, position: Position) -> Dot:
        return self.shown.dot(vector(position))

    def _off_map(self, position: Position, ink: Ink) -> Block:
        return around(draw_off_map(self.grid, self._dot(position), ink), 5, 5)

    def _away(self, position: Position) -> str:
        """The distance, where the place itself is not to be seen."""
        here = self.view.here
        if self.shown.holds(self._dot(position)) or here is None or here == position:
            return ""
        return f" {wording.distance(way(here, position).distance_m)}"

    def _target(self, target: NamedPlace | None) -> _Named | None:
        if target is None:
            return None
        dot = self._dot(target[1])
        if self.shown.holds(dot):
            draw_target(self.grid, dot)
            block = around((dot[0], dot[1] - 5), 4, 5)
            self.names.cover(around((dot[0], dot[1] - 5), 3, 5))
        else:
            block = self._off_map(target[1], Ink.TARGET)
        self.names.take(block)
        return _Named(block, target[0], self._away(target[1]), Ink.TARGET)

    def _held(self, held: NamedPlace | None) -> _Named | None:
        if held is None:
            return None
        dot = self._dot(held[1])
        if self.shown.holds(dot):
            draw_held(self.grid, dot)
            block = around(dot, 4, 4)
            self.names.cover(block)
        else:
            block = self._off_map(held[1], Ink.NORTH)
        self.names.take(block)
        return _Named(block, held[0], self._away(held[1]), Ink.NORTH)

    def _you(self, here: Position | None) -> None:
        if here is None:
            return
        dot, stale = self._dot(here), self.view.here_stale
        if self.shown.holds(dot):
            draw_you(self.grid, dot, self.view.course_deg, stale=stale)
            self.names.cover(around(dot, 2, 2))
            self.names.take(around(dot, 5, 5))
            return
        ink = Ink.STALE if stale else Ink.COURSE
        block = self._off_map(here, ink)
        self.names.take(block)
        self.names.write(block, Span("you", ink))

    def _note(self) -> None:
        """Why there is no track, clear of what is in the middle."""
        if self.memory.thinned.tip is None and self.view.note:
            write_lines(self.grid, ((self.grid.dots_wide - 1) / 2, 1.5), self.view.note, self.grid.width - 12)

    def _waypoints(self) -> None:
        """All marks first: names must stay clear of every one of them. One under a greater mark has none of its own."""
        elsewhere = {place[1] for place in (self.view.target, self.view.held) if place is not None}
        found = self.memory.waypoints.on(self.shown, self.view.waypoints)
        marked = [one for one in found if one.position not in elsewhere]
        for one in marked:
            self._mark(one)
        for one in marked[:MOST_NAMES]:
            self.names.write(_block(one), Span(one.name))

    def _mark(self, one: Shown) -> None:
        cell = cell_of(one.dot)
        if not self.names.is_covered(cell):
            self.grid.put(*cell, Span("x", Ink.ACCENT, bold=True))
        self.names.take(_block(one))


def _block(one: Shown) -> Block:
    return Block(*cell_of(one.dot), *cell_of(one.dot))
