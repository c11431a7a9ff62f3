"""The scatter of an averaging: every fix a dot, the rings that hold half and nineteen in twenty of them, the mean."""

from __future__ import annotations

import math
from typing import NamedTuple

from textual.reactive import reactive

from core.averaging import SiteAverage, SiteSample, Spread
from core.site import SiteReport
from core.site_session import NO_SAMPLES, SampleView
from core.units import in_use
from tui import wording
from tui.canvas.cells import fitted
from tui.canvas.grid import Dot, Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.widget import CanvasPane
from tui.own_keys import own_words
from tui.panes import scatter_marks as marks
from tui.panes.dial import write_lines
from tui.panes.scatter_frame import ScatterFrame, Spot, framed
from tui.panes.scatter_raster import ScatterRaster
from tui.panes.trail_marks import draw_target
from tui.state import BoardState

SMALLEST = (16, 6)
"""Columns and rows below which there is no drawing."""
ROOM = 1.35
"""Of the 95 % radius to each side: of normal errors one fix in 230 lies beyond (calculated)."""
FEW = 20
"""Fixes up to which all of them are looked through for the farthest, while there is no radius yet."""
UNEQUAL = 1.25
"""Ratio of the axes from which the ellipse is drawn beside the rings."""
ELLIPSE_95 = 2.447747
"""Sigmas of each axis that hold 95 % (accuracy.toml, r95)."""
MOST_LEFT_OUT = 200
"""Outliers that are marked, the newest: more would hide what they are outliers of."""
NOTHING = "No averaging: S begins one where the receiver stands"
NONE_YET = "No fix is in the mean yet: only those taken standing count"


class ScatterView(NamedTuple):
    """One frame's worth."""

    samples: SampleView = NO_SAMPLES
    average: SiteAverage | None = None
    newest: SiteSample | None = None
    mark: Spot | None = None
    mark_name: str = ""
    note: str = NOTHING


def scatter_view(report: SiteReport, note: str = NOTHING) -> ScatterView:
    """What of a report is drawn."""
    name = report.mark.name if report.mark else ""
    return ScatterView(report.samples, report.average, report.newest, report.mark_at, name, note)


class ScatterPane(CanvasPane):
    """The scatter as the state has it."""

    caption = "Scatter"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, classes=classes)
        self._view = ScatterView()
        self._memory = ScatterMemory()

    def watch_state(self) -> None:
        """Draw the new state; one that looks the same costs nothing."""
        view = scatter_view(self.state.snapshot.site, _note(self.state))
        if view != self._view:
            self._view = view
            self.aside = Span("dots are fixes, north is up", Ink.MUTED)
            self.repaint()

    def paint(self, grid: Grid) -> None:
        """Draw the view."""
        draw_scatter(grid, self._view, self._memory)


def _note(state: BoardState) -> str:
    """Why there is nothing to draw, where there is nothing."""
    if state.is_held:
        return "A held place is no measurement: nothing to average"
    return NONE_YET if state.snapshot.site.is_under_way else own_words(NOTHING)


class ScatterMemory:
    """What is kept from frame to frame; one a pane."""

    def __init__(self) -> None:
        self.frame: ScatterFrame | None = None
        self.raster = ScatterRaster()


def draw_scatter(grid: Grid, view: ScatterView, memory: ScatterMemory | None = None) -> None:
    """Draw the scatter into a blank grid; without a memory all is worked out anew."""
    memory = memory or ScatterMemory()
    if grid.width < SMALLEST[0] or grid.height < SMALLEST[1]:
        grid.text(0, 0, "too small for the scatter", Ink.MUTED)
        return
    body, foot = Grid(grid.width, grid.height - 1), Grid(grid.width, 1)
    middle = _middle(view)
    if middle is None:
        write_lines(body, ((body.dots_wide - 1) / 2, (body.dots_high - 1) / 2), view.note, body.width - 4)
    else:
        frame = framed(memory.frame, middle, _half_m(view, middle), (body.dots_wide, body.dots_high))
        memory.frame = frame
        body.copy_from(memory.raster.bring(view.samples, frame, (body.width, body.height)))
        _draw_marks(body, view, frame)
        _write_foot(foot, frame, memory.raster.beyond)
    grid.copy_from(foot.below(body))


def _middle(view: ScatterView) -> Spot | None:
    """The mean; before there is one, the newest fix."""
    if view.average is not None and view.average.centre is not None:
        return view.average.centre.east_m, view.average.centre.north_m
    last = view.newest or (view.samples.points[view.samples.count - 1] if view.samples.count else None)
    return None if last is None else (last.east_m, last.north_m)


def _half_m(view: ScatterView, middle: Spot) -> float:
    """How far from the middle must be seen: the rings, the newest fix, and a mark that is near enough."""
    found = view.average
    spread_m = found.spread.r95_m * ROOM if found and found.spread else 0.0
    few = view.samples.points[: view.samples.count] if view.samples.count <= FEW else ()
    near = [one for one in (*few, view.newest) if one is not None]
    half_m = max(spread_m, *(1.2 * math.dist(middle, (one.east_m, one.north_m)) for one in near), 0.0)
    if found and found.spread and view.newest:
        half_m = min(half_m, 2 * spread_m) if spread_m else half_m
    mark_m = 1.2 * math.dist(middle, view.mark) if view.mark else 0.0
    return max(half_m, mark_m if mark_m < 4 * half_m else 0.0)


def _draw_marks(body: Grid, view: ScatterView, frame: ScatterFrame) -> None:
    """From the least to the most important."""
    middle = frame.dot(_middle(view) or frame.middle)
    spread = view.average.spread if view.average else None
    marks.draw_axes(body, middle, spread.r95_m / frame.metres_per_dot if spread else 2.0)
    if view.average is not None:
        _draw_rings(body, view.average, frame)
        _draw_left_out(body, view, frame)
    if view.mark is not None:
        _draw_mark(body, view, frame)
    if view.newest is not None:
        at = frame.dot((view.newest.east_m, view.newest.north_m))
        (marks.put_letter if frame.holds(at) else marks.put_at_edge)(body, at, marks.NEWEST, Ink.COURSE)
    if view.average is not None:
        marks.put_letter(body, middle, marks.MEAN, Ink.ACCENT)


def _draw_rings(body: Grid, found: SiteAverage, frame: ScatterFrame) -> None:
    if found.centre is None:
        return
    at, scale = frame.dot((found.centre.east_m, found.centre.north_m)), 1 / frame.metres_per_dot
    spread = found.spread
    if spread is not None:
        ellipse = ellipse_95(spread, at, scale)
        if ellipse.major > UNEQUAL * ellipse.minor:
            marks.draw_ring(body, ellipse, Ink.MUTED, dashed=True)
        for radius_m, name in ((spread.r95_m, "95 %"), (spread.cep_m, "50 %")):
            ring = marks.Ellipse(at, radius_m * scale, radius_m * scale, 0.0)
            marks.draw_ring(body, ring, Ink.TEXT)
            marks.name_ring(body, ring, name, 45.0)
    if found.horizontal_95_m is not None:
        radius = found.horizontal_95_m * scale
        marks.draw_ring(body, marks.Ellipse(at, radius, radius, 0.0), Ink.GOOD)


def ellipse_95(spread: Spread, at: Dot, dots_per_m: float) -> marks.Ellipse:
    """The one that holds 95 % of normal errors, from both sigmas and how far they go together (textbook)."""
    east, north = spread.sigma_east_m**2, spread.sigma_north_m**2
    both = spread.correlation * spread.sigma_east_m * spread.sigma_north_m
    middle, half = (east + north) / 2, math.hypot((east - north) / 2, both)
    angle = math.degrees(math.atan2(2 * both, north - east)) / 2
    major, minor = math.sqrt(middle + half), math.sqrt(max(0.0, middle - half))
    scale = ELLIPSE_95 * dots_per_m
    return marks.Ellipse(at, major * scale, minor * scale, angle)


def _draw_left_out(body: Grid, view: ScatterView, frame: ScatterFrame) -> None:
    numbers = view.average.outliers[-MOST_LEFT_OUT:] if view.average else ()
    for number in numbers:
        if number < view.samples.count:
            one = view.samples.points[number]
            at = frame.dot((one.east_m, one.north_m))
            (marks.put_letter if frame.holds(at) else marks.put_at_edge)(body, at, marks.LEFT_OUT, Ink.WARN)


def _draw_mark(body: Grid, view: ScatterView, frame: ScatterFrame) -> None:
    at = frame.dot(view.mark or frame.middle)
    if not frame.holds(at):
        marks.put_at_edge(body, at, "^", Ink.TARGET)
        return
    draw_target(body, at)
    column, row = int(at[0]) // 2 + 3, max(0, int(at[1]) // 4 - 1)
    body.put(column, row, Span(fitted(view.mark_name, max(0, body.width - column)), Ink.TARGET))


def _write_foot(foot: Grid, frame: ScatterFrame, beyond: int) -> None:
    """The scale as a line with ends, its length, and what is meant by the letters, as far as there is room."""
    length_m = wording.ruler_m(frame.metres_per_dot, foot.width * 0.5)
    start, end = 3, 3 + round(length_m / frame.metres_per_dot)
    foot.line((start, 1), (end, 1), Ink.MUTED)
    for x in (start, end):
        foot.line((x, 0), (x, 3), Ink.MUTED)
    after = foot.text(end // 2 + 2, 0, in_use().ruler(length_m), Ink.TEXT)
    outside = f"{beyond:,} beyond the edge  " if beyond else ""
    for words in (f"{outside}{marks.MEAN} mean  {marks.NEWEST} newest  {marks.LEFT_OUT} left out", outside.strip()):
        if words and after + 2 <= foot.width - 1 - len(words):
            foot.text(foot.width - 1 - len(words), 0, words, Ink.MUTED)
            return
