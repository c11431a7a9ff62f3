"""The position to be read aloud: its figures as large as there is room for, the words to say beneath them."""

from __future__ import annotations

from textwrap import wrap
from typing import NamedTuple

from textual.geometry import Size

from core.position_report import SpokenForm
from tui.canvas.cells import one_cell_each
from tui.canvas.glyphs import PLAIN
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.letters import SCALES, TEXT, Scale, put_letters, span_of
from tui.canvas.widget import CanvasPane

GAP = "   "
"""Between two halves in one row."""
_WIDEST_STROKE = 4
"""Plain characters have no half cells: strokes narrower than two cells fall apart there."""

LEAST, AROUND = 9, 6
"""Rows that it may fill on any screen; rows of the screen that are above and below it and what is said besides."""


class _Setting(NamedTuple):
    """Rows of figures at one size."""

    rows: tuple[str, ...]
    scale: Scale

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows, a blank one behind each."""
        spans = [span_of(row, self.scale) for row in self.rows]
        return max(wide for wide, _ in spans), sum(high + 1 for _, high in spans)


class SayPane(CanvasPane):
    """Draws one form; which one, the screen says."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id)
        self._form: SpokenForm | None = None

    def show(self, form: SpokenForm) -> None:
        """This form from now on."""
        self._form = form
        self.refresh(layout=True)
        self.repaint()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many rows as it fills, of its share of the screen: what stands below has the others."""
        del viewport
        if self._form is None:
            return LEAST
        chosen, words = self._laid_out(self._form, Size(width, max(LEAST, (container.height - AROUND) * 2 // 3)))
        return chosen.size[1] + len(words)

    def paint(self, grid: Grid) -> None:
        """Figures, then words; where there is no room for letters, figures as bold text."""
        if self._form is None:
            return
        chosen, words = self._laid_out(self._form, Size(grid.width, grid.height))
        y = 0
        for row in chosen.rows:
            put_letters(grid, (1, y), Span(row, Ink.TEXT, bold=True), chosen.scale)
            y += span_of(row, chosen.scale)[1] + 1
        for text in words:
            grid.put(1, y, Span(text, Ink.TEXT, bold=True))
            y += 1

    def _laid_out(self, form: SpokenForm, room: Size) -> tuple[_Setting, list[str]]:
        width = room.width - 2
        words = [row for text in form.sentences for row in wrap(one_cell_each(text), max(20, width))]
        return _setting(form, (width, room.height - len(words)), fine=self.glyphs is not PLAIN), words


def _setting(form: SpokenForm, room: tuple[int, int], *, fine: bool) -> _Setting:
    """The largest that fits, the halves one under the other or side by side. The face has no degree sign."""
    halves = tuple(form.written.replace("°", "").split("  "))
    for scale in SCALES:
        if scale == TEXT or not (fine or scale.wide >= _WIDEST_STROKE):
            continue
        for rows in (halves, (GAP.join(halves),)):
            wide, high = _Setting(rows, scale).size
            if wide <= room[0] and high <= room[1]:
                return _Setting(rows, scale)
    return _Setting((GAP.join(form.written.split("  ")),), TEXT)
