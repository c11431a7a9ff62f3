"""Where the names of satellites go, so that no two of them touch.

A name that jumps at every epoch cannot be read, so each keeps the place it had for as long as that is free. A name
stays off every marker but its own by one blank, and a pill also off the rows above and below another pill: two filled
shapes that share an edge look like one.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

RIGHT, LEFT, ABOVE, BELOW, ABOVE_RIGHT, BELOW_RIGHT, ABOVE_LEFT, BELOW_LEFT = range(8)
"""The eight places of a name by its marker."""

INWARDS = (
    (RIGHT, LEFT, ABOVE, BELOW, ABOVE_RIGHT, BELOW_RIGHT, ABOVE_LEFT, BELOW_LEFT),
    (LEFT, RIGHT, ABOVE, BELOW, ABOVE_LEFT, BELOW_LEFT, ABOVE_RIGHT, BELOW_RIGHT),
)
"""The order to try them in, for a marker in the left and in the right half of the plot: names lean inwards."""


class Spot(NamedTuple):
    """Where a name was put."""

    place: int
    x: int
    y: int
    """The cell of its first character."""

    @property
    def beside(self) -> bool:
        """Whether marker and name are neighbours in one row and make one block."""
        return self.place in {RIGHT, LEFT}


@lru_cache(maxsize=16)
def _offsets(length: int) -> tuple[tuple[int, int], ...]:
    """Columns and rows from the marker to the first character, by place."""
    right, left, middle = 1, -length, -(length // 2)
    return (
        (right, 0),
        (left, 0),
        (middle, -1),
        (middle, 1),
        (right, -1),
        (right, 1),
        (left, -1),
        (left, 1),
    )


class Crowd:
    """The cells of a grid that are spoken for. A frame of one free cell spares every look over the edge."""

    def __init__(self, width: int, height: int) -> None:
        self.width = width
        self.height = height
        self._stride = width + 2
        self._taken = bytearray(self._stride * (height + 2))
        self._pills = bytearray(self._stride * (height + 2))

    def copy(self) -> Crowd:
        """An independent one with the same cells taken."""
        other = Crowd(self.width, self.height)
        other._taken[:] = self._taken
        return other

    def take(self, x: int, y: int, length: int = 1) -> None:
        """Speak for cells, inside the grid or not."""
        left, right = max(0, x), min(self.width, x + length)
        if left < right and 0 <= y < self.height:
            self._taken[self._at(left, y) : self._at(right, y)] = b"\1" * (right - left)

    def is_free(self, x: int, y: int, length: int) -> bool:
        """Whether these cells lie inside and are free, with one free cell on both sides."""
        if x < 0 or y < 0 or x + length > self.width or y >= self.height:
            return False
        at = self._at(x, y)
        return self._taken.find(1, at - 1, at + length + 1) < 0

    def place(self, cell: tuple[int, int], length: int, order: Iterable[int], *, pill: bool) -> Spot | None:
        """Put a name of `length` cells by the marker at `cell`, which is taken already; None when there is no room."""
        offsets = _offsets(length)
        for place in order:
            dx, dy = offsets[place]
            x, y = cell[0] + dx, cell[1] + dy
            if self._fits(x, y, length, place) and not (pill and self._meets_pill(*_block(place, x, length), y)):
                self._settle(Spot(place, x, y), length, pill=pill)
                return Spot(place, x, y)
        return None

    def _at(self, x: int, y: int) -> int:
        return (y + 1) * self._stride + x + 1

    def _fits(self, x: int, y: int, length: int, place: int) -> bool:
        if x < 0 or y < 0 or x + length > self.width or y >= self.height:
            return False
        at = self._at(x, y)
        end = at + length
        # The marker's own cell lies in the way and does not count; the one beyond it does.
        if place == RIGHT:
            return self._taken.find(1, at, end + 1) < 0 and not self._taken[at - 2]
        if place == LEFT:
            return self._taken.find(1, at - 1, end) < 0 and not self._taken[end + 1]
        return self._taken.find(1, at - 1, end + 1) < 0

    def _meets_pill(self, x: int, length: int, y: int) -> bool:
        above, below = self._at(x, y - 1), self._at(x, y + 1)
        return self._pills.find(1, above, above + length) >= 0 or self._pills.find(1, below, below + length) >= 0

    def _settle(self, spot: Spot, length: int, *, pill: bool) -> None:
        self.take(spot.x, spot.y, length)
        if pill:
            x, cells = _block(spot.place, spot.x, length)
            at = self._at(x, spot.y)
            self._pills[at : at + cells] = b"\1" * cells


def _block(place: int, x: int, length: int) -> tuple[int, int]:
    """First cell and length of a pill: beside its marker the pill takes the marker in."""
    return (x - 1, length + 1) if place == RIGHT else (x, length + (place == LEFT))
