"""The plot of the sky's own page: this moment under a what-if, or what the session has shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from textual.containers import Container
from textual.reactive import reactive

from core.obstruction import ObstructionMap
from core.sky_memory import NO_HISTORY, SkyHistory, TrackPlace
from core.what_if import AS_RECEIVED, WhatIf
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.panes.bound import sky_view
from tui.panes.dial import up_span, write_lines
from tui.panes.sky import SMALLEST, SkyPane, SkyView, draw_sky
from tui.panes.sky_layers import draw_obstruction, draw_signal, draw_skyline, draw_tracks
from tui.panes.what_if_view import panel
from tui.sky_choice import Layer
from tui.state import BoardState

SMALLEST_CHART = 8
"""Rows."""
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

    def watch_state(self) -> None:
        """Draw the new state, if it looks different."""
        choice = self.state.sky
        self._look_back()
        self._change = choice.what_if if choice.layer is Layer.NOW else AS_RECEIVED
        view = sky_view(self.state)
        if not self._change.is_nothing:
            lost = panel(self.state).imagined.outcome.lost
            view = view._replace(lost=frozenset(one.sight.name for one in lost))
        look = (choice.layer, self._change, *self._matters(view))
        if look != self._drawn:
            self._drawn, self._view = look, view
            self.caption = "Sky" if choice.layer is Layer.NOW else f"Sky: {choice.layer.value}"
            self.aside = Span("") if choice.layer is Layer.SIGNAL else _aside(view, self._change)
            self.repaint()

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
        draw_sky(grid, self._view, self._places, lambda on, base: draw_skyline(on, base.dial, up_deg, change))

    def paint_tracks(self, grid: Grid) -> None:
        """The satellites where they are now, their ways behind them."""
        tracks, view = _tracks(self._history), self._view
        draw_sky(grid, view, self._places, lambda on, base: draw_tracks(on, base.dial, view.up_deg, tracks))

    def paint_signal(self, grid: Grid) -> None:
        """Signal against elevation."""
        memory = self._history.memory
        together = memory.signal_together() if memory else ()
        if not memory or not together or grid.width < SMALLEST[0] or grid.height < SMALLEST_CHART:
            _say(grid, NO_ROOM if together else NOTHING_YET)
        else:
            draw_signal(grid, memory.signal(), together)

    def paint_obstruction(self, grid: Grid) -> None:
        """What stands in the way."""
        seen = self._history.memory.obstruction() if self._history.memory else ObstructionMap()
        if not self._history.epochs or grid.width < SMALLEST[0] or grid.height < SMALLEST[1]:
            _say(grid, NO_ROOM if self._history.epochs else NOTHING_YET)
        else:
            draw_obstruction(grid, seen, self._view.up_deg)


@lru_cache(maxsize=1)
def _tracks(history: SkyHistory) -> Mapping[str, Sequence[TrackPlace]]:
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
