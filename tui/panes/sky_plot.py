"""The plot of the sky's own page: this moment under a what-if, or what the session has shown."""

from __future__ import annotations

from functools import lru_cache

from textual.containers import Container
from textual.reactive import reactive

from core.obstruction import ObstructionMap
from core.sky_memory import NO_HISTORY, SkyHistory
from core.what_if import AS_RECEIVED, WhatIf
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.panes.bound import sky_view
from tui.panes.dial import up_span, write_lines
from tui.panes.sky import NO_DIRECTIONS, SMALLEST, SkyPane, SkyView, draw_sky
from tui.panes.sky_base import Base
from tui.panes.sky_layers import draw_obstruction, draw_skyline
from tui.panes.sky_signal import LEAST, draw_signal
from tui.panes.sky_tracks import TrackRaster, Tracks
from tui.panes.what_if_view import WORDS, Imagined, panel
from tui.sky_choice import Layer
from tui.state import BoardState

NOTHING_YET, NO_ROOM = "Nothing seen in this session yet", "No room here: make the window larger"


class SkyPlotPane(SkyPane):
    """Beside the what-if panel; the board's own sky shows what is received, always."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, classes=classes)
        self._change = AS_RECEIVED
        self._history = NO_HISTORY
        self._looked: object = None
        self._drawn: object = None
        self._raster = TrackRaster()

    def watch_state(self) -> None:
        """Draw the new state, if it looks different; out of sight nothing is worked out."""
        if self._showing():
            self._bring()
        else:
            self._fall_behind()

    def _painted(self, width: int, height: int) -> Grid:
        """What comes into sight, or changes its size, shows the newest state too."""
        self._look()
        return super()._painted(width, height)

    def _bring(self) -> None:
        before = self._drawn
        self._look()
        if self._drawn != before:
            self.repaint()

    def _look(self) -> None:
        choice = self.state.sky
        self._look_back()
        self._change = choice.what_if if choice.layer is Layer.NOW else AS_RECEIVED
        view = view_of(self.state)
        self._drawn, self._view = (choice.layer, self._change, *self._matters(view)), view
        self.caption = "Sky" if choice.layer is Layer.NOW else choice.layer.value.capitalize()
        self.aside = _aside(view, self._change) if choice.layer is Layer.NOW else self._count()

    def _count(self) -> Span:
        """What a layer of the session is made of."""
        return Span(f"{self._history.epochs:,} epochs" if self._history.epochs else "", Ink.MUTED)

    def _look_back(self) -> None:
        """At what the session has shown, once a second at most: it changes by degrees in minutes."""
        history, second = self.state.snapshot.sky_history, int(self.state.now_s)
        if (history.memory, second) != self._looked:
            self._looked, self._history = (history.memory, second), history

    def _matters(self, view: SkyView) -> tuple[object, object]:
        """What the layer is drawn from."""
        layer = self.state.sky.layer
        return (
            view if layer in {Layer.NOW, Layer.TRACKS} else view.up_deg,
            NO_HISTORY if layer is Layer.NOW else self._history,
        )

    def paint(self, grid: Grid) -> None:
        """The layer that is chosen."""
        _PAINTERS[self.state.sky.layer](self, grid)

    def paint_now(self, grid: Grid) -> None:
        """The satellites, those crossed out that would be lost, under the imagined skyline."""
        change, up_deg = self._change, self._view.up_deg
        draw_sky(
            grid, self.seen(self._view), self._places, lambda on, base: draw_skyline(on, base.dial, up_deg, change)
        )

    def paint_tracks(self, grid: Grid) -> None:
        """The satellites where they are now, their ways behind them."""
        tracks, view = _tracks(self._history), self.seen(self._view)

        def under(grid: Grid, base: Base) -> None:
            grid.copy_from(self._raster.bring(base, view.up_deg, tracks))

        draw_sky(grid, view._replace(status=_how_many(len(tracks))), self._places, under)

    def paint_signal(self, grid: Grid) -> None:
        """Signal against elevation."""
        memory = self._history.memory
        together = memory.signal_together() if memory else ()
        if not memory or not together or grid.width < LEAST[0] or grid.height < LEAST[1]:
            _say(grid, NO_ROOM if together else self._why_nothing())
        else:
            draw_signal(grid, memory.signal(), together)

    def _why_nothing(self) -> str:
        return NO_DIRECTIONS if self._history.epochs else NOTHING_YET

    def paint_obstruction(self, grid: Grid) -> None:
        """What stands in the way."""
        seen = self._history.memory.obstruction() if self._history.memory else ObstructionMap()
        if not any(cell.known for sector in seen.cells for cell in sector):
            _say(grid, self._why_nothing())
        elif grid.width < SMALLEST[0] or grid.height < SMALLEST[1]:
            _say(grid, NO_ROOM)
        else:
            draw_obstruction(grid, seen, self._view.up_deg)


def view_of(state: BoardState) -> SkyView:
    """The sky as received; on the layer of this moment with what a what-if takes away."""
    view = sky_view(state)
    if state.sky.layer is not Layer.NOW or state.sky.what_if.is_nothing:
        return view
    found = panel(state).imagined
    lost = tuple((one.sight.name, WORDS.get(one.why, one.why)) for one in found.outcome.lost)
    return view._replace(lost=lost, status=_kept(found))


def _kept(found: Imagined) -> str:
    total, lost = len(found.ranked), len(found.outcome.lost)
    return f"WHAT IF: keeps {total - lost} of {total} in the fix" if total else ""


def _how_many(tracks: int) -> str:
    return f"{tracks} satellites have been in view" if tracks else ""


@lru_cache(maxsize=1)
def _tracks(history: SkyHistory) -> Tracks:
    """Asked for again by every change of a signal."""
    return history.memory.tracks() if history.memory else {}


def _say(grid: Grid, words: str) -> None:
    write_lines(grid, (grid.dots_wide / 2, grid.dots_high / 2), words, grid.width - 4)


_PAINTERS = {
    Layer.NOW: SkyPlotPane.paint_now,
    Layer.TRACKS: SkyPlotPane.paint_tracks,
    Layer.SIGNAL: SkyPlotPane.paint_signal,
    Layer.OBSTRUCTION: SkyPlotPane.paint_obstruction,
}


def _aside(view: SkyView, change: WhatIf) -> Span:
    if not change.is_nothing:
        return Span("WHAT IF, not as received", Ink.WARN)
    return up_span(view.up_deg, stale=view.stale)


class SkyPage(Container):
    """Plot and panel; where there is room for one only, that which was worked with last."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Tell the stylesheet."""
        self.set_class(self.state.sky.panel_first, "-panel-first")
