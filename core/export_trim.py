"""Leaving out where a trip began and ended, so that a track can be shown to others without showing the house.

What is nearer than asked for to such an end is left out wherever in the trip it comes: who passes the house at noon
would otherwise give it away. Ends are those of the whole recording and those of the part that is exported; of each,
the first (last) fix and the first (last) usable one, since a receiver just switched on may be off by more than the
circle. The times of what is left out go with it. It is no promise of anonymity: a track that stops 200 m around a
spot still says "about here".
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from core.epochs import Epoch
from core.export_plan import Plan
from core.export_points import ExportPoint, LeftOut, points
from core.fix import Position
from core.samples import Xyz, earth_centred
from core.units import in_use
from core.waypoint import Waypoint


class Ends:
    """Where a trip began and ended."""

    def __init__(self) -> None:
        self._first: dict[str, Position] = {}
        self._last: dict[str, Position] = {}

    def see(self, kind: str, position: Position) -> None:
        """The next position of its kind."""
        self._first.setdefault(kind, position)
        self._last[kind] = position

    def centres(self) -> tuple[Xyz, ...]:
        """Metres from the Earth's centre."""
        return tuple(earth_centred(one) for one in dict.fromkeys([*self._first.values(), *self._last.values()]))


def ends(epochs: Iterable[Epoch], plan: Plan) -> tuple[Xyz, ...]:
    """A pass over the whole recording."""
    found = Ends()
    for point in points(_watched(epochs, found), plan, LeftOut()):
        found.see("exported", point.position)
    return found.centres()


def _watched(epochs: Iterable[Epoch], found: Ends) -> Iterator[Epoch]:
    for epoch in epochs:
        if epoch.fix.position is not None and epoch.fix.is_satellite_fix:
            found.see("any", epoch.fix.position)
            if epoch.usable:
                found.see("usable", epoch.fix.position)
        yield epoch


def trimmed(
    given: Iterable[ExportPoint], centres: tuple[Xyz, ...], trim_m: float, left_out: LeftOut
) -> Iterator[ExportPoint]:
    """Those that lie outside; a segment ends where the track goes in."""
    reason = in_use().own_lengths(f"within {trim_m:g} m of an end")
    went_in = False
    for point in given:
        if any(math.dist(point.xyz, centre) < trim_m for centre in centres):
            left_out[reason] += 1
            went_in = True
            continue
        yield point._replace(begins=point.begins or went_in)
        went_in = False


def trimmed_places(given: tuple[Waypoint, ...], centres: tuple[Xyz, ...], trim_m: float) -> tuple[Waypoint, ...]:
    """The user's places that lie outside."""
    return tuple(
        one for one in given if all(math.dist(earth_centred(one.position), centre) >= trim_m for centre in centres)
    )
