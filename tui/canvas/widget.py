"""The base of every pane: it draws into a grid and sends the terminal only the cells that look different.

Textual writes every line of a widget that asks to be refreshed, changed or not; comparing rows here costs a few
microseconds a row and saves nine tenths of the bytes. Within a frame (frame.py) the cells go to the terminal at once.
"""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.geometry import Size
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.frame import Frame, Stretch, regions_of
from tui.canvas.glyphs import BRAILLE, GlyphSet
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.palettes import Depth, Palette, palette_for
from tui.canvas.row_look import RowLook


class CanvasPane(Widget):
    """Override `paint`, and call `repaint` whenever what it shows has changed.

    A pane with a `caption` gives its first row to it; `aside` stands at that row's right end. Both may change at any
    time and show at the next `repaint`.
    """

    DEFAULT_CSS = """
    CanvasPane { width: 1fr; height: 1fr; background: $background; }
    """

    ALLOW_SELECT: ClassVar[bool] = False

    palette: reactive[Palette] = reactive(palette_for("dark", Depth.TRUECOLOR), init=False, repaint=False)
    glyphs: reactive[GlyphSet] = reactive(BRAILLE, init=False, repaint=False)

    caption: str = ""
    aside: Span = Span("", Ink.MUTED)

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, classes=classes)
        self._grid = Grid(0, 0)
        self._strips: dict[int, Strip] = {}
        self._looks: dict[int, RowLook] = {}
        self._behind = True

    def paint(self, grid: Grid) -> None:
        """Draw everything into a blank grid of the size that is left under the caption."""

    def repaint(self) -> None:
        """Draw again and refresh the rows that differ; a pane that nobody can see waits until it is shown."""
        frame = Frame.open
        if not (frame and frame.shows(self)) and not self._showing():
            self._fall_behind()
            return
        changed = self._draw()
        if changed is None:
            self.refresh()
        elif changed and frame:
            frame.add(self, changed)
        elif changed:
            self.refresh(*regions_of(changed))

    @property
    def drawn_size(self) -> Size:
        """Of what was drawn last."""
        return Size(self._grid.width, self._grid.height)

    def look(self, y: int) -> RowLook:
        """A row as it was drawn last."""
        look = self._looks.get(y)
        if look is None:
            look = self._looks[y] = self._grid.look(y, self.glyphs)
        return look

    def render_line(self, y: int) -> Strip:
        """One row of the content area; Textual asks for the rows it has to write."""
        if self._behind or self.content_size != (self._grid.width, self._grid.height):
            self._draw()
        strip = self._strips.get(y)
        if strip is None:
            strip = self._strips[y] = self._row(y)
        return strip

    def _row(self, y: int) -> Strip:
        if not 0 <= y < self._grid.height:
            return Strip.blank(self._grid.width, self.palette.style(Ink.TEXT))
        return self._grid.strip(y, self.palette, self.glyphs)

    def _draw(self) -> list[Stretch] | None:
        """Paint a new grid, drop the strips that are out of date, and name the cells that changed; None when all."""
        before, grid = self._grid, self._painted(*self.content_size)
        self._behind = False
        if (grid.width, grid.height) != (before.width, before.height):
            self._grid = grid
            self._strips.clear()
            self._looks.clear()
            return None
        rows = grid.changed_rows(before)
        looked = [self.look(y) for y in rows]
        self._grid = grid
        for y in rows:
            self._strips.pop(y, None)
            del self._looks[y]
        return [Stretch(y, *one) for y, old in zip(rows, looked, strict=True) for one in self.look(y).changed(old)]

    def _painted(self, width: int, height: int) -> Grid:
        if not self.caption or height < 2:
            grid = Grid(width, height)
            self.paint(grid)
            return grid
        body = Grid(width, height - 1)
        self.paint(body)
        return body.below(self._head(width))

    def _head(self, width: int) -> Grid:
        head = Grid(width, 1)
        head.paper(0, 0, width, Paper.PANEL)
        end = head.put(1, 0, Span(fitted(self.caption, width - 2), Ink.TITLE, bold=True))
        start = width - 1 - len(one_cell_each(self.aside.text))
        # Whole or not at all: half a remark may say the opposite.
        if start > end:
            head.put(start, 0, self.aside)
        return head

    def _showing(self) -> bool:
        # Hidden parents first: asked for the region of what is nowhere, Textual makes the whole layout anew, and what
        # has just gone (a message shown for a moment) is then never found to have gone, and never wiped away.
        shown = self.is_attached and all(part.display for part in self.ancestors_with_self)
        return shown and bool(self.region) and self._on_a_visible_screen()

    def _on_a_visible_screen(self) -> bool:
        """A dialogue leaves what is under it in sight, any other screen covers it; other modes have other stacks."""
        stack = self.app.screen_stack
        if self.screen not in stack:
            return False
        return all(screen.is_modal for screen in stack[stack.index(self.screen) + 1 :])

    def _fall_behind(self) -> None:
        if not self._behind:
            self._behind = True
            self.refresh()

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the new size."""
        self.repaint()

    def on_show(self, event: events.Show) -> None:
        """Catch up with what happened while hidden."""
        self.repaint()

    def watch_palette(self) -> None:
        """New colours: the drawing stays, every strip goes."""
        self._recolour()

    def watch_glyphs(self) -> None:
        """New characters for the same dots."""
        self._looks.clear()
        self._recolour()

    def _recolour(self) -> None:
        self._strips.clear()
        self.refresh()
