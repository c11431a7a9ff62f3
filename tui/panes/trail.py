"""The map as a pane: the track, where you are on it, and the places around. North is up."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable

from core.map_view import DOT_STEPS_M, MapView
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.widget import CanvasPane
from tui.panes.trail_drawing import TrailMemory, draw_trail
from tui.panes.trail_view import TrailView

__all__ = ["TrailMemory", "TrailPane", "TrailView", "draw_trail"]


class TrailPane(CanvasPane):
    """The map as a pane. Zoom and pan are its own: what the views handed to it say of them is not used."""

    caption = "Trail"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, classes=classes)
        self._view = TrailView()
        self._memory = TrailMemory()
        self.zoom: int | None = None
        """Index into DOT_STEPS_M; None: everything fits."""
        self.moved_by: tuple[float, float] | None = None
        """Dots that the middle was moved by; None: the map follows."""

    def show(self, view: TrailView) -> None:
        """Show this from now on; a view equal to the last costs nothing."""
        view = view._replace(zoom=self.zoom, pan=self.moved_by)
        if view != self._view:
            self._view = view
            self.aside = Span(self.mode, Ink.MUTED)
            self.repaint()

    @property
    def shown(self) -> MapView | None:
        """The map as it was drawn last; None where there was nothing to draw."""
        return self._memory.framing.map

    @property
    def mode(self) -> str:
        """What the map does when you move, in words."""
        if self.moved_by is not None:
            return "map stands free"
        return "all of it, north is up" if self.zoom is None else "following, north is up"

    def zoom_in(self) -> None:
        """One step closer; a map that showed everything follows from now on."""
        self._zoom_to(lambda step_m, shown_m: step_m < shown_m * 0.999, -1)

    def zoom_out(self) -> None:
        """One step back."""
        self._zoom_to(lambda step_m, shown_m: step_m > shown_m * 1.001, 0)

    def pan(self, right: float, down: float) -> None:
        """Move what is shown by so many dots; the map no longer follows."""
        shown = self.shown
        if shown is not None:
            self.moved_by = (shown.offset[0] + right, shown.offset[1] + down)
            self.show(self._view)

    def follow(self) -> None:
        """Follow the position, as close as is shown."""
        shown = self.shown
        if shown is not None:
            self.zoom = _nearest(shown.metres_per_dot) if self.zoom is None else self.zoom
        self.moved_by = None
        self.show(self._view)

    def fit(self) -> None:
        """Show everything."""
        self.zoom, self.moved_by = None, None
        self.show(self._view)

    def _zoom_to(self, fits: Callable[[float, float], bool], which: int) -> None:
        """About the middle of the map: the first or the last of the steps that fit what is shown."""
        shown = self.shown
        steps = [n for n, m in enumerate(DOT_STEPS_M) if shown is not None and fits(m, shown.metres_per_dot)]
        if shown is None or not steps:
            return
        self.zoom = steps[which]
        if self.moved_by is not None:
            shrink = shown.metres_per_dot / DOT_STEPS_M[self.zoom]
            self.moved_by = (self.moved_by[0] * shrink, self.moved_by[1] * shrink)
        self.show(self._view)

    def paint(self, grid: Grid) -> None:
        """Draw the view."""
        draw_trail(grid, self._view, self._memory)


def _nearest(metres_per_dot: float) -> int:
    """Index of the step that is no coarser."""
    return max(0, bisect_right(DOT_STEPS_M, metres_per_dot * 1.001) - 1)
