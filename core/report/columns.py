"""A figure over time in bounded memory: lowest and highest of equal stretches are kept, and where nothing was told."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, replace

from core.accuracy import median
from core.steps import INTERVALS_KEPT, USUAL_INTERVALS

MOST_COLUMNS = 720
"""About as many as a picture is wide; beyond, two become one."""
FIRST_WIDTH_S = 1.0
LONGEST_GAP_S = 10.0
"""As for the trip (`core.steps`): silence longer than this, and than three usual intervals, is a gap."""


@dataclass(slots=True)
class Column:
    """What was told in one stretch of time."""

    at_s: float
    """Of its first value, on the recording's clock."""
    end_s: float
    """Of its last."""
    first: float
    last: float
    low: float
    high: float
    begins: bool
    """After a gap, or the first of all: nothing leads to it."""
    holed: bool = False
    """A gap lies within it: nothing leads on from it."""
    count: int = 1

    def take(self, value: float, at_s: float) -> None:
        """Another value, later."""
        self.end_s, self.last = at_s, value
        self.low, self.high = min(self.low, value), max(self.high, value)
        self.count += 1

    def join(self, later: Column) -> None:
        """The column after it becomes part of it."""
        self.end_s, self.last = later.end_s, later.last
        self.low, self.high = min(self.low, later.low), max(self.high, later.high)
        self.holed |= later.begins or later.holed
        self.count += later.count

    def points(self) -> list[tuple[float, float]]:
        """Times and values that a line through it goes by: its first, its lowest and highest, its last."""
        if self.count == 1:
            return [(self.at_s, self.first)]
        middle_s = (self.at_s + self.end_s) / 2
        turns = (self.low, self.high) if self.first <= self.last else (self.high, self.low)
        inner = [(middle_s, value) for value in turns if value not in (self.first, self.last)]
        return [(self.at_s, self.first), *inner, (self.end_s, self.last)]


class Columns:
    """Takes values in the order of time."""

    def __init__(self) -> None:
        self._width_s = FIRST_WIDTH_S
        self._columns: list[Column] = []
        self._intervals: deque[float] = deque(maxlen=INTERVALS_KEPT)
        self._blank = True

    def take(self, at_s: float, value: float) -> None:
        """A value that was told. Times never go back."""
        newest = self._columns[-1] if self._columns else None
        begins = newest is None or self._blank or self._is_gap(at_s - newest.end_s)
        self._blank = False
        if newest is None or begins or self._number(at_s) != self._number(newest.at_s):
            self._columns.append(Column(at_s, at_s, value, value, value, value, begins))
            self._make_room()
        else:
            newest.take(value, at_s)

    def blank(self) -> None:
        """Said to be unknown: the next value begins anew."""
        self._blank = True

    def columns(self) -> tuple[Column, ...]:
        """Oldest first."""
        return tuple(self._columns)

    def _is_gap(self, step_s: float) -> bool:
        usual_s = median([*self._intervals]) if self._intervals and step_s > LONGEST_GAP_S else None
        if step_s > max(LONGEST_GAP_S, USUAL_INTERVALS * (usual_s or 0.0)):
            return True
        self._intervals.append(step_s)
        return False

    def _number(self, at_s: float) -> int:
        return int(at_s // self._width_s)

    def _make_room(self) -> None:
        while len(self._columns) > MOST_COLUMNS:
            self._width_s *= 2
            wider: list[Column] = []
            for column in self._columns:
                if wider and self._number(wider[-1].at_s) == self._number(column.at_s):
                    wider[-1].join(column)
                else:
                    wider.append(column)
            self._columns = wider


def runs(columns: tuple[Column, ...]) -> list[list[tuple[float, float]]]:
    """Times and values, one list for each piece of the line: never over a gap."""
    found: list[list[tuple[float, float]]] = []
    broken = True
    for column in columns:
        if column.begins or broken:
            found.append([])
        found[-1].extend(column.points())
        broken = column.holed
    return found


def scaled(columns: tuple[Column, ...], size: float) -> tuple[Column, ...]:
    """The same in units of this size."""
    if size == 1.0:
        return columns
    return tuple(
        replace(one, first=one.first / size, last=one.last / size, low=one.low / size, high=one.high / size)
        for one in columns
    )


def extremes(columns: tuple[Column, ...]) -> tuple[float, float] | None:
    """Lowest and highest of all; None of nothing."""
    if not columns:
        return None
    return min(one.low for one in columns), max(one.high for one in columns)
