"""What the compass says in words and figures: every direction with its reference, in the corners or around the rose."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import cos, radians
from textwrap import wrap
from typing import NamedTuple

from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.grid import Dot, Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, put_row
from tui.panes.dial import Dial, write_centred, write_lines
from tui.panes.rose import FIGURES_FROM_DOTS

CLEAR_DOTS = 2
"""Kept free between the rim and the words beside it."""
CLEAR_CELLS = 4
"""Kept free right of the middle of the first row: half a wedge on the rim, and a blank."""
LAST_DOT = 3
"""Of the first row: a cell is four dots high."""
CORNER_WIDTH = 10
"""Cells for the margin and `247° true`."""


class CompassView(NamedTuple):
    """What the pane shows; all bearings are degrees from true north, None where there is none."""

    up_deg: float = 0.0
    """Bearing at the top."""
    up_name: str = "north-up"
    """north-up, course-up or head-up."""
    course_deg: float | None = None
    course_sure: bool = True
    """False at a speed where the course wanders."""
    heading_deg: float | None = None
    target_bearing_deg: float | None = None
    target_name: str = ""
    target_distance: str = ""
    """Formatted, with its unit."""
    turn: str = ""
    """How to turn towards the target, for example `65° right`."""
    stale: bool = False
    """Too old to be taken for the present."""
    note: str = ""
    """Why there is no course."""
    sun_deg: float | None = None
    """Where the sun stands, while it is up."""
    cross_track_m: float | None = None
    """Distance from the leg, right positive; None where there is no leg."""


def true_bearing(bearing_deg: float) -> str:
    """Three figures and the reference, for example `007° true`; 359.6 is `000° true`."""
    return f"{round(bearing_deg) % 360:03d}° true"


def write_corners(grid: Grid, dial: Dial, view: CompassView) -> None:
    """Course upper left, heading lower left, target on the right, which way is up below."""
    last = grid.height - 1
    upper_left, lower_left, upper_right, lower_right = _corners(view)
    pairs = (*zip(upper_left, upper_right, strict=True), *zip(lower_left, lower_right, strict=True))
    for y, pair in zip((0, 1, last - 1, last), pairs, strict=True):
        room = dial.free_beside(y, CLEAR_DOTS) - 1
        _write_pair(grid, y, pair, (room, max(room, _above_rim(grid, dial)) if y == 0 else room))
    below = min(last, int(dial.centre[1] + dial.radius) // 4 + 2)
    write_centred(grid, (dial.centre[0], 4 * below), Span(view.up_name, Ink.MUTED))
    if view.course_deg is None and view.note:
        _write_note(grid, dial, view)


def write_lines_around(grid: Grid, dial: Dial, view: CompassView) -> None:
    """Course above the rose, target below it, each on one row."""
    del dial  # The rose has rows of its own; the signature is that of write_corners.
    course, target = _joined(_course(view)), _target(view)
    put_row(grid, 0, (*course, PUSH, *_first_fitting(view, grid.width - 3 - _length(course))))
    label, value = target if target != _NONE else _sun(view)
    last = grid.height - 1
    if grid.height >= ROWS_FOR_LEG:
        put_row(grid, last, (*_leg(view)[:1], PUSH, *_leg(view)[1:]))
        last -= 1
    put_row(grid, last, (Span(fitted(label.text, grid.width - len(value.text) - 3), label.ink), _GAP, value))


ROWS_FOR_LEG = 11
"""Height from which distance and turn have a row of their own below the rose."""

_NOTE_WIDTH = 14
_NOTE_SHARES, _NOTE_REACH = (0.6, 0.4), (0.45, 0.35, 0.25)
"""Width of a remark inside the rose, and how far out its middle may lie, as shares of the radius."""
_GAP = Span(" ")
_NONE = (Span(""), Span(""))


def _joined(pair: tuple[Span, Span]) -> tuple[Span, ...]:
    return pair[0], _GAP, pair[1]


def _length(spans: Iterable[Span]) -> int:
    return sum(len(span.text) for span in spans)


def _first_fitting(view: CompassView, room: int) -> tuple[Span, ...]:
    """The heading, the sun, or which way is up, which the pane's title says too: the first that there is room for."""
    sun = _sun(view) if view.target_bearing_deg is not None else _NONE
    choices = [_joined(pair) for pair in (_heading(view), sun) if pair != _NONE]
    return next((spans for spans in (*choices, (Span(view.up_name, Ink.MUTED),)) if _length(spans) <= room), ())


def _course(view: CompassView) -> tuple[Span, Span]:
    if view.course_deg is None:
        return Span("no course", Ink.MUTED), Span("")
    label = "course" if view.course_sure else "course unsure"
    ink = Ink.COURSE if view.course_sure else Ink.COURSE_UNSURE
    return Span(label, Ink.MUTED), _value(view, true_bearing(view.course_deg), ink)


def _heading(view: CompassView) -> tuple[Span, Span]:
    if view.heading_deg is None:
        return _NONE
    return Span("heading", Ink.MUTED), _value(view, true_bearing(view.heading_deg), Ink.HEADING)


def _target(view: CompassView) -> tuple[Span, Span]:
    if view.target_bearing_deg is None:
        return _NONE
    label = one_cell_each(view.target_name) or "target"
    return Span(label, Ink.MUTED), _value(view, true_bearing(view.target_bearing_deg), Ink.TARGET)


def _corners(view: CompassView) -> list[tuple[Span, Span]]:
    """Upper left, lower left, upper right, lower right: the sun takes one that nothing else needs."""
    corners = [_course(view), _heading(view), _target(view), _leg(view)]
    free = next((n for n in (1, 3, 2) if not _length(corners[n])), None)
    if free is not None:
        corners[free] = _sun(view)
    return corners


def _sun(view: CompassView) -> tuple[Span, Span]:
    if view.sun_deg is None:
        return _NONE
    return Span("sun", Ink.MUTED), _value(view, true_bearing(view.sun_deg), Ink.TEXT)


def _leg(view: CompassView) -> tuple[Span, Span]:
    return _value(view, view.target_distance, Ink.TEXT), _value(view, view.turn, Ink.TARGET)


def _value(view: CompassView, text: str, ink: Ink) -> Span:
    return Span(one_cell_each(text), Ink.STALE if view.stale else ink, bold=not view.stale)


def _above_rim(grid: Grid, dial: Dial) -> int:
    """Cells at the right of the first row where the rim is below it: up to the mark of what is at the top."""
    return grid.width // 2 - CLEAR_CELLS if dial.centre[1] - dial.radius > LAST_DOT else 0


def _write_pair(grid: Grid, y: int, pair: tuple[Span, Span], rooms: tuple[int, int]) -> None:
    left, right = (span._replace(text=fitted(span.text, room)) for span, room in zip(pair, rooms, strict=True))
    grid.put(1, y, left)
    grid.put(grid.width - 1 - len(right.text), y, right)


def _write_note(grid: Grid, dial: Dial, view: CompassView) -> None:
    """Below `no course` where there is room beside the rose, else inside it; a small rose leaves it out."""
    room = min(dial.free_beside(y, CLEAR_DOTS) for y in (1, 2, 3)) - 1
    if room >= _NOTE_WIDTH:
        for n, line in enumerate(wrap(one_cell_each(view.note), room)[:3]):
            grid.text(1, 1 + n, line, Ink.MUTED)
    elif dial.radius >= FIGURES_FROM_DOTS:
        at, width = next(
            (place for place in _note_places(dial, view) if _is_clear(grid, view.note, *place)),
            next(_note_places(dial, view)),
        )
        write_lines(grid, at, view.note, width)


def _note_places(dial: Dial, view: CompassView) -> Iterator[tuple[Dot, int]]:
    """Middle and width, the best first, in the half that the kite does not point into."""
    ahead = view.target_bearing_deg is None or cos(radians(view.target_bearing_deg - view.up_deg)) >= 0
    for share in _NOTE_SHARES:
        for out in _NOTE_REACH:
            yield dial.at(out, 180 if ahead else 0), int(dial.radius * share)


def _is_clear(grid: Grid, note: str, at: Dot, width: int) -> bool:
    """Whether no letter or figure of the rose would be written over, nor touched."""
    tried = Grid(grid.width, grid.height)
    write_lines(tried, at, note, width)
    return not grid.meets(tried)
