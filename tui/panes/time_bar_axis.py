"""The time bar's axis: which cell shows which stretch of a recording."""

from __future__ import annotations

from typing import NamedTuple

from core.timeline import Timeline


class Axis(NamedTuple):
    """Cells side by side, each an equal part of the recording."""

    left: int
    """Column of the first cell."""
    cells: int
    length_s: float

    def cell(self, at_s: float) -> int:
        """The cell that shows a moment, 0 to `cells` - 1; what lies outside shows at the end it lies behind."""
        # Multiplied first: cells whose begin is a whole second must not lose it to rounding.
        return min(self.cells - 1, max(0, int(at_s * self.cells / self.length_s)))

    def begin_s(self, cell: int) -> float:
        """Where a cell begins."""
        return cell * self.length_s / self.cells

    def asked_s(self, x: int) -> float | None:
        """The moment that a click on a column means; None beside the axis.

        The begin of its cell: whoever clicks on a mark wants to see what it stands for happen.
        """
        return self.begin_s(x - self.left) if self.left <= x < self.left + self.cells else None


def length_s(timeline: Timeline) -> float | None:
    """How long the axis is; None while nothing can be said.

    Until the index has come to the end, what it has seen so far is scaled up by its part of the file: good enough to
    draw on, and never written as a figure.
    """
    length = timeline.duration_s
    if length is None and timeline.indexed > 0.0:
        length = max(timeline.indexed_s / timeline.indexed, timeline.position_s)
    return length if length and length > 0.0 else None
