"""One channel of a receiver: search, lock, the collecting of orbit data, loss and reacquisition.

A satellite helps a position only when it is tracked and its ephemeris is known. Ephemeris comes round every 30 s and
is used for up to four hours (trade-facts.md a: S12 there); below some 25 to 28 dB-Hz its bits no longer decode, so that
a cold start under trees may never end though satellites are tracked (same place).
"""

from __future__ import annotations

from enum import StrEnum
from random import Random

from core.rehearsal.ranging import NOISE_AT_DBHZ

EPHEMERIS_S = 30.0
"""Unbroken reception that brings one ephemeris, wherever in its cycle it begins."""
FRAME_S = 18.0
"""What of it is data, three subframes of 6 s (IS-GPS-200, from memory). A receiver that knows the time begins to read
without having to find them, and waits at most the rest of the cycle: warm starts take 18 to 30 s."""
EPHEMERIS_LIFE_S = 4 * 3600.0
READ_DBHZ = 27.0
"""Below this the bits do not decode: the middle of 25 to 28."""
ACQUIRE_DBHZ = 25.0
"""Least strength at which a search succeeds. Common practice, no source."""
HOLD_DBHZ = 18.0
"""Below this lock is lost. Receivers differ: 25 in older ones, far lower in sensitive chips (trade-facts.md a)."""
TIME_S = 12.0
"""Unbroken reading after which the time of the week is known: each subframe of 6 s begins with it, and the first may be
half over (IS-GPS-200, from memory)."""
COLD_SEARCH_S = (0.5, 4.0)
KNOWN_SEARCH_S = (0.3, 1.2)
"""Search for one satellite, nothing known or the sky known. Common practice, no source: many correlators at once."""
REACQUIRE_S = (0.4, 2.0)
"""After a short loss. Common practice, no source."""
SLOWER_AT_S = 120.0
"""An outage this long doubles it: the receiver's clock drifts."""


class Start(StrEnum):
    """What a receiver knows when it is switched on."""

    COLD = "cold"
    """Nothing."""
    WARM = "warm"
    """Time within 20 s, place within 100 km, almanac; no ephemeris (trade-facts.md a: S12 there)."""
    HOT = "hot"
    """Ephemeris too."""


class Channel:
    """One satellite's channel; `hear` is called once an epoch."""

    __slots__ = ("_good_until_s", "_need_s", "_range_s", "_rng", "_search_s", "_since_loss_s", "tracked", "unbroken_s")

    def __init__(self, start: Start, rng: Random) -> None:
        self._rng = rng
        self._range_s = COLD_SEARCH_S if start is Start.COLD else KNOWN_SEARCH_S
        self._search_s = rng.uniform(*self._range_s)
        self._need_s = EPHEMERIS_S if start is Start.COLD else rng.uniform(FRAME_S, EPHEMERIS_S)
        left = rng.uniform(0.25, 1.0) * EPHEMERIS_LIFE_S
        self._good_until_s = left if start is Start.HOT else 0.0
        self._since_loss_s = 0.0
        self.tracked = False
        self.unbroken_s = 0.0
        """Seconds of reading without a gap."""

    def ready(self, now_s: float) -> bool:
        """Whether it gives a range to a known place. `now_s` counts from switching on."""
        return self.tracked and now_s < self._good_until_s

    def knows_orbit(self, now_s: float) -> bool:
        """Whether an ephemeris is held that is not too old."""
        return now_s < self._good_until_s

    @property
    def knows_time(self) -> bool:
        """Whether this channel alone has told the time of the week."""
        return self.unbroken_s >= TIME_S

    def hear(self, now_s: float, dt_s: float, cno_dbhz: float | None) -> None:
        """One epoch on, with this strength; None where there is no signal at all."""
        if self.tracked:
            self._hold(now_s, dt_s, cno_dbhz)
        else:
            self._search(dt_s, cno_dbhz)

    def _hold(self, now_s: float, dt_s: float, cno_dbhz: float | None) -> None:
        if cno_dbhz is None or cno_dbhz < HOLD_DBHZ:
            self._lose()
            return
        self.unbroken_s = self.unbroken_s + dt_s if cno_dbhz >= READ_DBHZ else 0.0
        if self.unbroken_s >= self._need_s:
            self._need_s = EPHEMERIS_S
            self._good_until_s = now_s + EPHEMERIS_LIFE_S

    def _lose(self) -> None:
        self.tracked = False
        self.unbroken_s = self._since_loss_s = 0.0
        self._range_s = REACQUIRE_S
        self._search_s = self._rng.uniform(*REACQUIRE_S)

    def _search(self, dt_s: float, cno_dbhz: float | None) -> None:
        """Only a signal that is there is searched for with success; weak ones take longer."""
        self._since_loss_s += dt_s
        if cno_dbhz is None or cno_dbhz < ACQUIRE_DBHZ:
            return
        slower = 1.0 + self._since_loss_s / SLOWER_AT_S if self._range_s is REACQUIRE_S else 1.0
        weaker = max(1.0, (NOISE_AT_DBHZ - cno_dbhz) / 10.0)
        self._search_s -= dt_s / (min(slower, 5.0) * weaker)
        self.tracked = self._search_s <= 0.0
