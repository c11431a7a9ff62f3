"""The way that the trail shows, in bounded memory: places with the verdict of the step to them, broken where it broke.

Places nearer than a step to the last are dropped; where there are too many, the step doubles. The last place of each
piece stays. A dropped step leaves its verdict to the next one if it was worse.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from core.fix import Position
from core.samples import Xyz, earth_centred
from core.trust import Verdict

MOST_PLACES = 5000
FIRST_STEP_M = 1.0


class WayPlace(NamedTuple):
    """One place."""

    position: Position
    xyz: Xyz
    verdict: Verdict
    """Of the step to it, the worst where steps were dropped."""
    begins: bool
    """Nothing leads to it."""


class Way:
    """Collects."""

    def __init__(self) -> None:
        self._step_m = FIRST_STEP_M
        self._kept: list[WayPlace] = []
        self._tip: WayPlace | None = None
        self._end: Xyz | None = None
        self.pieces = 0
        """All that have begun, drawn or not."""

    def take(self, position: Position, verdict: Verdict, *, begins: bool) -> None:
        """The next place."""
        place = WayPlace(position, earth_centred(position), verdict, begins or not self._kept)
        if place.begins:
            self._flush()
            self.pieces += 1
            self._kept.append(place)
        elif self._near(place):
            worst = min(self._tip.verdict, verdict) if self._tip else verdict
            self._tip = place._replace(verdict=worst)
        else:
            self._keep(place)
        self._make_room()

    def places(self) -> tuple[WayPlace, ...]:
        """Oldest first, the newest always among them."""
        return (*self._kept, self._tip) if self._tip else tuple(self._kept)

    def _near(self, place: WayPlace) -> bool:
        return math.dist(self._kept[-1].xyz, place.xyz) < self._step_m

    def _keep(self, place: WayPlace) -> None:
        worst = min(self._tip.verdict, place.verdict) if self._tip else place.verdict
        self._tip = None
        self._kept.append(place._replace(verdict=worst))

    def _flush(self) -> None:
        if self._tip:
            self._kept.append(self._tip)
            self._tip = None

    def _make_room(self) -> None:
        while len(self._kept) > MOST_PLACES:
            self._step_m *= 2
            tip, self._tip, self._end = self._tip, None, None
            self._kept = [place for piece in _pieces(self._kept) for place in self._thinned(piece)]
            self._tip = tip

    def _thinned(self, piece: list[WayPlace]) -> list[WayPlace]:
        """Again, with the longer step. What is then one place near the end of the piece before goes altogether."""
        kept = _spaced(piece, self._step_m)
        end, self._end = self._end, kept[-1].xyz
        return [] if len(kept) == 1 and end is not None and math.dist(end, kept[0].xyz) < self._step_m else kept


def _spaced(piece: list[WayPlace], step_m: float) -> list[WayPlace]:
    """First and last, and between them a step apart; one place where all of it is nearer than that."""
    kept, worst = piece[:1], Verdict.FIRM
    for place in piece[1:]:
        worst = min(worst, place.verdict)
        if math.dist(kept[-1].xyz, place.xyz) >= step_m:
            kept.append(place._replace(verdict=worst))
            worst = Verdict.FIRM
    if len(kept) > 1 and kept[-1].xyz != piece[-1].xyz:
        kept[-1] = piece[-1]._replace(verdict=min(worst, kept[-1].verdict))
    return kept


def _pieces(places: list[WayPlace]) -> list[list[WayPlace]]:
    found: list[list[WayPlace]] = []
    for place in places:
        if place.begins or not found:
            found.append([])
        found[-1].append(place)
    return found
