"""The pictures of the stage: a sky, a rose, a kite, bars; thick lines and few of them, names in letters where they fit.

Shape tells what colour only adds: filled is in the fix, sure, current; hollow is not.
"""

from __future__ import annotations

from math import isfinite

from tui.canvas.grid import Grid, Span
from tui.canvas.inks import SIGNAL_INKS, Ink
from tui.canvas.letters import TEXT, Scale, put_letters, span_of
from tui.panes.bound import compass_view
from tui.panes.compass_words import CompassView
from tui.panes.dial import CARDINALS, Dial
from tui.panes.sky import SkyView
from tui.panes.stage_lines import Box
from tui.panes.stage_words import strongest
from tui.state import BoardState

SMALL, NARROW = Scale(2, 2), Scale(1, 2)
_LETTERS_FROM_DOTS = 36
"""Radius from which the letters of a rose are large ones."""
_LEAST_DOTS = 9
_LEVELS_DBHZ = (25, 35, 45)
"""Lines across the bars: where orbit data no longer decodes, where open sky begins, where signals are strong (inks)."""
_TOP_DBHZ = 55
_NARROWEST, _BROADEST = 2, 13
"""Cells that a bar takes with the blank beside it: less is a line, more looks like a wall."""
_NAME_CELLS, _UPRIGHT_FROM = 3, 9
"""Of a satellite's name, and the rows of a box from which names of narrow bars stand upright."""


def dial_in(box: Box, margin: float = 1.0) -> Dial:
    """The largest circle of a box."""
    middle = (2 * box.x + box.width - 0.5, 4 * box.y + 2 * box.height - 0.5)
    return Dial(middle, max(0.0, min(2 * box.width, 4 * box.height) / 2 - margin))


def draw_ring(grid: Grid, dial: Dial, ink: Ink, thick: float = 2.0) -> None:
    """A circle so many dots thick."""
    for inset in range(int(thick * 2)):
        grid.circle(dial.centre, dial.radius - inset / 2, ink)


def draw_rose(grid: Grid, box: Box, state: BoardState, *, fine: bool) -> None:
    """Rim, letters, the course as a wedge, the target as a kite."""
    view = compass_view(state)
    dial = dial_in(box)
    if dial.radius < _LEAST_DOTS:
        return
    draw_ring(grid, dial, Ink.FAINT)
    for angle in range(0, 360, 30):
        grid.line(dial.at(1, angle - view.up_deg), dial.inside(4, angle - view.up_deg), Ink.FAINT)
    scale = SMALL if dial.radius >= _LETTERS_FROM_DOTS else TEXT
    write_cardinals(grid, dial, view.up_deg, scale)
    inner = Dial(dial.centre, dial.radius - (16 if scale != TEXT else 7))
    _draw_needles(grid, inner, view)


def write_cardinals(grid: Grid, dial: Dial, up_deg: float, scale: Scale) -> None:
    """North, east, south and west inside the rim."""
    inset = 10 if scale != TEXT else 4
    for bearing, letter in CARDINALS:
        put_middle(grid, dial.inside(inset, bearing - up_deg), letter, scale)


def put_middle(grid: Grid, at: tuple[float, float], span: Span, scale: Scale) -> None:
    """Letters around a dot."""
    wide, high = span_of(span.text, scale)
    put_letters(grid, (round((at[0] + 0.5) / 2 - wide / 2), round((at[1] + 0.5) / 4 - high / 2)), span, scale)


def _draw_needles(grid: Grid, dial: Dial, view: CompassView) -> None:
    if view.target_bearing_deg is not None and isfinite(view.target_bearing_deg):
        kite(grid, dial, view.target_bearing_deg - view.up_deg, stale=view.stale)
    if view.course_deg is not None and isfinite(view.course_deg):
        _wedge(grid, dial, view.course_deg - view.up_deg, view)


def _wedge(grid: Grid, dial: Dial, angle: float, view: CompassView) -> None:
    """An arrow head at the rim and a line to the middle; hollow where the course is unsure."""
    ink = Ink.COURSE if view.course_sure else Ink.COURSE_UNSURE
    points = [dial.at(1, angle), *(dial.at(0.72, angle + side) for side in (17, -17))]
    for aside in (-1.0, 0.0, 1.0):
        start, end = dial.at(aside * 0.02, angle + 90), dial.at(0.72, angle + aside)
        grid.line(start, end, ink)
    (grid.polygon if view.course_sure else grid.hollow)(points, ink)


def kite(grid: Grid, dial: Dial, angle: float, *, stale: bool) -> None:
    """Points to the target; hollow and grey when it is no longer true."""
    shape = ((0.95, 0), (0.75, 150), (0.3, 180), (0.75, -150))
    points = [dial.at(share, angle + turn) for share, turn in shape]
    (grid.hollow if stale else grid.polygon)(points, Ink.STALE if stale else Ink.TARGET)


def draw_way(grid: Grid, box: Box, state: BoardState, *, fine: bool) -> None:
    """A kite to turn by: the user's own way is at the top, or north where there is no course."""
    guidance, dial = state.guidance, dial_in(box)
    if guidance is None or guidance.bearing_deg is None or dial.radius < _LEAST_DOTS:
        return
    draw_ring(grid, dial, Ink.FAINT)
    if guidance.turn_deg is None:
        write_cardinals(grid, dial, 0.0, SMALL if dial.radius >= _LETTERS_FROM_DOTS else TEXT)
        kite(grid, Dial(dial.centre, dial.radius - 16), guidance.bearing_deg, stale=not state.is_current)
        return
    grid.polygon([dial.inside(inset, side) for inset, side in ((0, 0), (10, 9), (10, -9))], Ink.COURSE)
    kite(grid, Dial(dial.centre, dial.radius - 10), guidance.turn_deg, stale=not state.is_current)


def draw_bars(grid: Grid, box: Box, view: SkyView, *, fine: bool) -> None:
    """A bar for each satellite heard, the strongest first: filled when in the fix, else an outline."""
    heard = strongest(view)
    if not heard or box.height < 4:
        return
    step = max(_NARROWEST, min(_BROADEST, (box.width - 4) // len(heard)))
    scale = _name_scale(heard, step, fine=fine)
    stands = scale == TEXT and step <= _NAME_CELLS and box.height >= _UPRIGHT_FROM
    floor = box.y + box.height - (_NAME_CELLS if stands else span_of("G", scale)[1])
    _draw_levels(grid, box, floor)
    for number, (name, cno, used, strength) in enumerate(heard[: max(0, (box.width - 4) // step)]):
        left = box.x + 4 + number * step
        ink = Ink.STALE if view.stale else SIGNAL_INKS[strength]
        _draw_bar(grid, (left, step - 1), (_height(cno, box, floor), 4 * floor), (ink, used))
        written = Span(name, Ink.TEXT if used else Ink.MUTED)
        if stands:
            _write_upright(grid, (left + (step - 2) // 2, floor), written)
        else:
            put_letters(
                grid,
                (left, floor),
                written if scale != TEXT or step > len(name) else written._replace(text=name[1:]),
                scale,
            )


def _write_upright(grid: Grid, at: tuple[int, int], name: Span) -> None:
    """A letter a row: side by side the names of narrow bars would be one row of figures."""
    for row, letter in enumerate(name.text[:_NAME_CELLS]):
        grid.put(at[0], at[1] + row, name._replace(text=letter))


def _name_scale(heard: list[tuple[str, int, bool, int]], step: int, *, fine: bool) -> Scale:
    widest = max((name for name, *_ in heard), key=len)
    return next((one for one in (SMALL, NARROW) if (fine or one is SMALL) and span_of(widest, one)[0] < step), TEXT)


def _height(cno: float, box: Box, floor: int) -> float:
    """The dot row of a strength."""
    return 4 * floor - 4 * (floor - box.y) * min(cno, _TOP_DBHZ) / _TOP_DBHZ


def _draw_levels(grid: Grid, box: Box, floor: int) -> None:
    for level in _LEVELS_DBHZ:
        y = _height(level, box, floor)
        grid.line((2 * box.x + 8, y), (2 * (box.x + box.width) - 1, y), Ink.FAINT, 4)
        grid.put(box.x, int(y) // 4, Span(f"{level:>3}", Ink.MUTED, bold=True))


def _draw_bar(grid: Grid, across: tuple[int, int], rows: tuple[float, int], look: tuple[Ink, bool]) -> None:
    left, right = 2 * across[0], 2 * (across[0] + across[1]) - 1
    top, bottom = rows[0], rows[1] - 1.0  # the last row of dots: half a dot lower lies in the row of names
    points = ((left, top), (right, top), (right, bottom), (left, bottom))
    if look[1]:
        grid.polygon(points, look[0])
        return
    for inset in (0, 1):
        grid.hollow(
            (
                (left + inset, top + inset),
                (right - inset, top + inset),
                (right - inset, bottom),
                (left + inset, bottom),
            ),
            look[0],
        )
