"""What stands on the time bar: a strip of verdicts, and marks for events, chapters, the loop and the present moment.

Every kind has a shape of its own, so that colour is never the only cue.
"""

from __future__ import annotations

from collections.abc import Iterator

from core.chapters import Chapters
from core.events import Event, EventKind
from core.timeline import Stretch, Survey, Timeline
from core.trust import Verdict
from tui.canvas.glyphs import FULL
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.panes.time_bar_axis import Axis
from tui.panes.verdict_line import INKS as VERDICT_INKS

STRIP = {Verdict.NO_FIX: ".", Verdict.DOUBTFUL: "-", Verdict.USABLE: "=", Verdict.FIRM: ""}
"""The better, the blacker, in any set of characters; firm is a whole cell of dots."""
NOT_JUDGED = "_"
"""Can be gone to, but has not been read for its verdicts yet. What cannot be gone to at once is blank."""

MARKS = {
    EventKind.VERDICT: "'",
    EventKind.FIRST_HEARD: "o",
    EventKind.MODE: "~",
    EventKind.FIRST_FIX: "^",
    EventKind.REGAINED: "+",
    EventKind.JUMP: "!",
    EventKind.LOST: "x",
}
"""The weightiest last: of several in one cell that one is seen."""
WEIGHTS = {kind: weight for weight, kind in enumerate(MARKS)}
MORE = "*"
"""A chapter whose number has no room."""

_BEGINS, _ENDS = "(", ")"
_HERE = "|"


def put_strip(grid: Grid, y: int, axis: Axis, along: tuple[Timeline, Survey]) -> None:
    """The verdicts as far as they are known, and how far the index has come."""
    timeline, survey = along
    judged = axis.length_s if survey.is_done else survey.reached_s
    reachable = axis.length_s if timeline.duration_s is not None else timeline.indexed_s
    verdicts = _worst_by_cell(survey, axis, judged)
    for cell in range(axis.cells):
        verdict = verdicts.get(cell)
        if verdict is not None:
            _put_verdict(grid, (axis.left + cell, y), verdict)
        elif axis.begin_s(cell) < reachable:
            grid.put(axis.left + cell, y, Span(NOT_JUDGED, Ink.FAINT))


def _put_verdict(grid: Grid, at: tuple[int, int], verdict: Verdict) -> None:
    if STRIP[verdict]:
        grid.put(*at, Span(STRIP[verdict], VERDICT_INKS[verdict]))
    else:
        grid.stamp(*at, FULL, VERDICT_INKS[verdict])


def _worst_by_cell(survey: Survey, axis: Axis, judged_s: float) -> dict[int, Verdict]:
    """The worst in each cell: a second without a fix must not vanish between minutes of a good one."""
    found: dict[int, Verdict] = {}
    ends = (*(at_s for at_s, _ in survey.verdicts[1:]), judged_s)
    for (from_s, verdict), to_s in zip(survey.verdicts, ends, strict=False):
        for cell in _cells(axis, from_s, min(to_s, judged_s)):
            found[cell] = min(verdict, found.get(cell, verdict))
    return found


def _cells(axis: Axis, from_s: float, to_s: float) -> range:
    """Those that a stretch touches. One that ends where a cell begins does not touch that cell."""
    first, last = axis.cell(from_s), axis.cell(to_s)
    if last > first and axis.begin_s(last) >= to_s:
        last -= 1
    return range(first, last + 1) if to_s > from_s else range(0)


def put_events(grid: Grid, axis: Axis, events: tuple[Event, ...]) -> None:
    """A mark an event, in the first row. Changes of the verdict only where that is not the strip: it shows them."""
    from tui.panes.timeline import INKS as EVENT_INKS

    seen = [one for one in events if grid.height > 1 or one.kind is not EventKind.VERDICT]
    heaviest: dict[int, EventKind] = {}
    for event in seen:
        cell = axis.cell(event.at_s)
        heaviest[cell] = max(event.kind, heaviest.get(cell, event.kind), key=WEIGHTS.__getitem__)
    for cell, kind in heaviest.items():
        grid.put(axis.left + cell, 0, Span(MARKS[kind], EVENT_INKS.get(kind, Ink.MUTED), bold=True))


def put_chapters(grid: Grid, axis: Axis, chapters: Chapters) -> None:
    """Their numbers in the first row, counted from 1, each at its begin; a star where a number has no room."""
    free_from = axis.left
    for x, text in _numbers(axis, chapters):
        fits = free_from <= x and x + len(text) <= axis.left + axis.cells
        end = grid.put(x, 0, Span(text if fits else MORE, Ink.ACCENT, bold=True))
        # A blank or mark between two numbers: 1 and 2 are not 12.
        free_from = end + 1 if fits else max(free_from, end)


def _numbers(axis: Axis, chapters: Chapters) -> Iterator[tuple[int, str]]:
    for number, chapter in enumerate(chapters.items, 1):
        yield axis.left + axis.cell(chapter.at_s), str(number)


def put_loop(grid: Grid, y: int, axis: Axis, loop: tuple[Stretch | None, float | None]) -> None:
    """The stretch that is played again and again, or the begin of one whose end has not been said yet."""
    stretch, begun_s = loop
    if stretch is not None:
        first, last = axis.cell(stretch.from_s), axis.cell(stretch.to_s)
        grid.paper(axis.left + first, y, last - first + 1, Paper.SELECTED)
        _put_edge(grid, axis.left + last, y, _ENDS)
        _put_edge(grid, axis.left + first, y, _BEGINS)
    elif begun_s is not None:
        _put_edge(grid, axis.left + axis.cell(begun_s), y, _BEGINS)


def _put_edge(grid: Grid, x: int, y: int, edge: str) -> None:
    grid.put(x, y, Span(edge, Ink.TARGET, bold=True, paper=Paper.SELECTED))


def put_here(grid: Grid, y: int, axis: Axis, at_s: float) -> None:
    """The present moment, over all else; reversed where there are no colours."""
    here = Span(_HERE, Ink.BANNER, bold=True, paper=Paper.BANNER_REPLAY)
    grid.put(axis.left + axis.cell(at_s), y, here)
