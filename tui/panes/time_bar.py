"""The time bar: where a recording stands, what lies before and behind. A click goes there.

It stands just above the footer on every page while a recording is opened: one row, and from 34 rows of screen on a
second, which takes the marks off the strip. Under 20 rows it has none: the line on top says how far it is.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from textual import events
from textual.message import Message
from textual.reactive import reactive

from core.timeline import Timeline
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.widget import CanvasPane
from tui.panes.time_bar_axis import Axis, length_s
from tui.panes.time_bar_marks import MARKS, put_chapters, put_events, put_here, put_loop, put_strip
from tui.panes.time_bar_moments import all_events
from tui.panes.time_bar_words import LEAST, Words, words_for
from tui.state import BoardState

SHOWN = "-playing"
"""The class of a bar that has something to show; the stylesheet knows it."""


class TimeBar(CanvasPane):
    """Position, clock and pace around a strip of verdicts, events and chapters."""

    DEFAULT_CSS = "TimeBar { height: 1; width: 1fr; display: none; }"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)
    loop_from: reactive[float | None] = reactive(None, repaint=False, init=False)
    """Where a loop begins whose end has not been said yet."""

    class Sought(Message):
        """The user has clicked on a moment."""

        def __init__(self, at_s: float) -> None:
            """`at_s`: seconds since the recording's first piece."""
            super().__init__()
            self.at_s = at_s

    def __init__(self, **more: Any) -> None:
        super().__init__(**more)
        self.tooltip = legend()
        self._axis: Axis | None = None
        self._known = _NOTHING
        self._ground = Grid(0, 0)

    def watch_state(self) -> None:
        """Come, change or go."""
        shows = self.shows(self.state)
        if shows is not self.has_class(SHOWN):
            self.set_class(shows, SHOWN)
            if self.is_attached:  # what is said (a toast) must not hide where one has gone
                self.screen.set_class(shows, SHOWN)
        self.repaint()

    @staticmethod
    def shows(state: BoardState) -> bool:
        """Whether there is anything to show."""
        return state.timeline is not None and state.status.kind.is_recorded

    def watch_loop_from(self) -> None:
        """Draw the new begin."""
        self.repaint()

    def on_click(self, event: events.Click) -> None:
        """Go there. What lies beside the strip means nothing."""
        event.stop()
        at_s = self._axis.asked_s(event.x) if self._axis else None
        if at_s is not None:
            self.post_message(self.Sought(at_s))

    def paint(self, grid: Grid) -> None:
        """Words, then the strip on what is left between them."""
        timeline = self.state.timeline
        if timeline is None:
            return
        words = words_for(self.state, (grid.width, grid.height))
        self._axis = axis = _axis(self.state, grid.width, words)
        _lay(grid)
        if axis is not None:
            self._put_ground(grid, axis)
            y = grid.height - 1
            put_loop(grid, y, axis, (timeline.loop, self.loop_from))
            put_here(grid, y, axis, timeline.position_s)
        _put_words(grid, words)

    def _put_ground(self, grid: Grid, axis: Axis) -> None:
        """What does not change from second to second is drawn once: a day may have thousands of events."""
        known = _known(self.state, axis, (grid.width, grid.height))
        if not _same(known, self._known):
            self._ground, self._known = _ground(self.state, axis, (grid.width, grid.height)), known
        grid.copy_from(self._ground)


class _Known(NamedTuple):
    """What the ground was drawn from."""

    figures: tuple[object, ...]
    lists: tuple[object, ...]


_NOTHING = _Known((), ())


def legend() -> str:
    """What the marks stand for."""
    marks = ", ".join(f"{mark} {kind.value}" for kind, mark in MARKS.items())
    return (
        f"Click: go there. Strip: . no fix, - doubtful, = usable, full: firm, _ not judged yet. "
        f"Marks: {marks}. Figures are chapters, ( ) a loop."
    )


def _known(state: BoardState, axis: Axis, size: tuple[int, int]) -> _Known:
    survey, timeline = state.survey, state.timeline or Timeline()
    # How far the index has come matters only until it is done.
    reach = timeline.indexed_s if timeline.duration_s is None else None
    figures = (axis, size, reach, survey.reached_s, survey.is_done)
    return _Known(figures, (all_events(state), survey.verdicts, state.chapters))


def _same(a: _Known, b: _Known) -> bool:
    """The lists by identity: comparing a thousand events a frame would cost more than drawing them."""
    return a.figures == b.figures and all(x is y for x, y in zip(a.lists, b.lists, strict=True))


def _axis(state: BoardState, width: int, words: Words) -> Axis | None:
    length = length_s(state.timeline) if state.timeline else None
    cells = width - words.taken
    return Axis(words.left_width + 2, cells, length) if length is not None and cells >= LEAST else None


def _ground(state: BoardState, axis: Axis, size: tuple[int, int]) -> Grid:
    """Strip and marks: on one row the marks stand on the strip, on two above it."""
    grid = Grid(*size)
    y = grid.height - 1
    _lay(grid)
    put_strip(grid, y, axis, (state.timeline or Timeline(), state.survey))
    put_events(grid, axis, all_events(state))
    put_chapters(grid, axis, state.chapters)
    for x, end in ((axis.left - 1, "["), (axis.left + axis.cells, "]")):
        grid.put(x, y, Span(end, Ink.MUTED))
    return grid


def _lay(grid: Grid) -> None:
    for y in range(grid.height):
        grid.paper(0, y, grid.width, Paper.PANEL)


def _put_words(grid: Grid, words: Words) -> None:
    for y in range(grid.height):
        grid.put(1, y, Span(words.left[y], Ink.TEXT))
        grid.put(grid.width - words.right_width, y, Span(words.right[y], Ink.MUTED if y else Ink.TEXT))
