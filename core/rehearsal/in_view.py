"""What a receiver lists as in view, which is not the same as what it receives."""

from __future__ import annotations

from collections.abc import Iterable

from core.fix import Heard
from core.rehearsal.front_end import Received
from core.rehearsal.tracking import Start

ALMANAC_S = 750.0
"""The almanac's cycle is 12.5 min (trade-facts.md a); until then a cold receiver lists only what it tracks."""
ORDER = "GRECS"


def place_in_list(name: str) -> tuple[int, str]:
    """Sorts names by system, then number."""
    return (ORDER.find(name[0]) % len(ORDER), name)


class InView:
    """The list, which grows with what the receiver knows of the sky."""

    def __init__(self, start: Start) -> None:
        self._read_s = 0.0 if start is Start.COLD else ALMANAC_S
        self._placed = start is not Start.COLD

    def step(self, dt_s: float, received: Iterable[Received], *, fixed: bool) -> None:
        """One epoch on: the almanac is read as long as any satellite can be read; a position gives directions."""
        self._placed = self._placed or fixed
        if self._read_s < ALMANAC_S and any(one.chain.channel.unbroken_s > 0.0 for one in received):
            self._read_s += dt_s

    def listed(self, received: Iterable[Received], now_s: float) -> tuple[Heard, ...]:
        """By system, then number."""
        whole = self._read_s >= ALMANAC_S
        found = [self._heard(one, now_s) for one in received if whole or one.chain.channel.tracked]
        return tuple(sorted(found, key=lambda one: place_in_list(one.name)))

    def _heard(self, one: Received, now_s: float) -> Heard:
        channel, seen = one.chain.channel, one.seen
        cno = round(one.ray.cno_dbhz) if channel.tracked and one.ray else None
        if not self._placed or not (self._read_s >= ALMANAC_S or channel.knows_orbit(now_s)):
            return Heard(seen.sat.name, None, None, cno)
        return Heard(seen.sat.name, round(seen.elevation_deg), round(seen.azimuth_deg) % 360, cno)
