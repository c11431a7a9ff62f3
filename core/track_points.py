"""Points of a track, and the list that keeps them: 41 bytes a point instead of 650, so that a year may be walked.

A tuple of tuples and floats is fifteen times as large, and all of it is gone through by the collector of garbage. The
points are made anew when they are asked for, which takes about a microsecond each: whoever looks at a track keeps what
it has made of it, and asks for what is new only.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import NamedTuple, overload

from core.fix import Position, Utc

_NO_DAY = 0
_NO_TIME = -1


class TrackPoint(NamedTuple):
    """One point of a track."""

    position: Position
    at_s: float
    """Arrival, on the source's clock; 0 where the point was read from a file."""
    utc: Utc | None
    altitude_m: float | None
    begins: bool
    """The first of a segment: nothing is drawn or summed from the point before."""


class TrackPoints(Sequence[TrackPoint]):
    """Append-only: no point ever changes or goes. Appended to in one thread, read in any."""

    def __init__(self, points: Iterable[TrackPoint] = ()) -> None:
        self._latitudes = array("d")
        self._longitudes = array("d")
        self._altitudes = array("d")
        """Not a number: not known."""
        self._at_s = array("d")
        self._times_ms = array("i")
        self._days = array("i")
        self._begins = bytearray()
        self.extend(points)

    def append(self, point: TrackPoint) -> None:
        """One more."""
        utc = point.utc
        self._latitudes.append(point.position.latitude_deg)
        self._longitudes.append(point.position.longitude_deg)
        self._altitudes.append(math.nan if point.altitude_m is None else point.altitude_m)
        self._at_s.append(point.at_s)
        self._times_ms.append(_NO_TIME if utc is None else utc.time_ms)
        self._days.append(_NO_DAY if utc is None or utc.day is None else utc.day.toordinal())
        # Last, since it is by it that others know how many there are.
        self._begins.append(point.begins)

    def extend(self, points: Iterable[TrackPoint]) -> None:
        """Some more."""
        for point in points:
            self.append(point)

    def first(self, count: int) -> TrackPoints:
        """A copy of so many, at the speed of copying memory."""
        copy = TrackPoints()
        for name in self.__dict__:
            setattr(copy, name, getattr(self, name)[:count])
        return copy

    def __len__(self) -> int:
        """Those that are complete."""
        return len(self._begins)

    def __eq__(self, other: object) -> bool:
        """The same points, bit for bit."""
        if not isinstance(other, TrackPoints):
            return NotImplemented
        mine, theirs = (vars(one).values() for one in (self, other))
        return all(bytes(a) == bytes(b) for a, b in zip(mine, theirs, strict=True))

    __hash__ = None  # type: ignore[assignment]  # it grows

    def __iter__(self) -> Iterator[TrackPoint]:
        """Those that there are when it comes to its end."""
        number = 0
        while number < len(self._begins):
            yield self._made(number)
            number += 1

    @overload
    def __getitem__(self, which: int) -> TrackPoint: ...
    @overload
    def __getitem__(self, which: slice) -> list[TrackPoint]: ...
    def __getitem__(self, which: int | slice) -> TrackPoint | list[TrackPoint]:
        """A point, or a list of those of a slice. Raises IndexError as a list does."""
        if isinstance(which, slice):
            return [self._made(number) for number in range(*which.indices(len(self)))]
        return self._made(range(len(self))[which])

    def _made(self, number: int) -> TrackPoint:
        time_ms, day, altitude_m = self._times_ms[number], self._days[number], self._altitudes[number]
        utc = None if time_ms == _NO_TIME else Utc(time_ms, None if day == _NO_DAY else date.fromordinal(day))
        return TrackPoint(
            Position(self._latitudes[number], self._longitudes[number]),
            self._at_s[number],
            utc,
            None if math.isnan(altitude_m) else altitude_m,
            bool(self._begins[number]),
        )


class TrackView(NamedTuple):
    """A track as of one moment, to be read in any thread."""

    points: Sequence[TrackPoint]
    """Shared, and grows: read the first `count` only."""
    count: int  # type: ignore[assignment]  # hides tuple.count: nobody counts a point in a view
