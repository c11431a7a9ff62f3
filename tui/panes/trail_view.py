"""What the map of the trail shows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from core.fix import Position
from core.track import TrackView

NamedPlace = tuple[str, Position]
"""A name, as the user has it: clean before showing; and where it is."""


class TrailView(NamedTuple):
    """One frame's worth. A value equal to the last costs nothing, so hand over the same sequences again, not copies."""

    track: TrackView | None = None
    here: Position | None = None
    """The point that the map follows."""
    here_stale: bool = False
    """The position is not that of now."""
    course_deg: float | None = None
    """True; None where there is none that can be believed."""
    target: NamedPlace | None = None
    waypoints: Sequence[NamedPlace] = ()
    held: NamedPlace | None = None
    """A saved place in the place of a receiver."""
    back: Sequence[Position] = ()
    """The way back, first goal first."""
    zoom: int | None = None
    """Index into `core.map_view.DOT_STEPS_M`; None: as large as shows everything but far-off waypoints."""
    pan: tuple[float, float] | None = None
    """Dots that the map's middle has been moved right and down by; None: it follows `here`."""
    label: str = ""
    """At the right of the last row."""
    note: str = "Nothing recorded yet"
    """Said where there is no track."""
