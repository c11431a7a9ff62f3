"""What the sky has shown so far: tracks of the satellites, signal by elevation, and where something stands in the way.

Filled epoch by epoch in the feed's thread, asked in another; bounded however long a session is. Nothing is drawn or
worked out before somebody asks.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from core.fix import Satellite
from core.obstruction import Obstruction, ObstructionMap
from core.signal_by_elevation import SignalBand, SignalByElevation

MOST_NAMES = 256
"""More than all systems together have; damage that makes up more must not fill the memory."""
MOST_PLACES = 2000
"""Of one track: a satellite crosses the sky in fewer than 400 whole degrees, two or three times a day. A longer track
loses every second place of its older half."""
BREAK_S = 600.0
"""Not reported for so long, a satellite's track begins anew: it may have set and come up elsewhere."""


class TrackPlace(NamedTuple):
    """Where a satellite was reported."""

    azimuth_deg: int
    elevation_deg: int
    at_s: float
    """On the source's clock: when it was there first."""
    cno_dbhz: int | None
    """None: not heard there."""
    begins: bool
    """The first after a break."""


class SkyMemory:
    """Collects. Every method may be called from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._tracks: dict[str, list[TrackPlace]] = {}
        self._seen_s: dict[str, float] = {}
        self._signal = SignalByElevation()
        self._obstruction = Obstruction()
        self._epochs = 0

    def take(self, satellites: Iterable[Satellite], at_s: float) -> None:
        """The satellites reported in view in one epoch; those without a direction are left out."""
        with self._lock:
            self._epochs += 1
            for one in satellites:
                if one.azimuth_deg is not None and one.elevation_deg is not None and one.elevation_deg >= 0:
                    self._take(one, one.azimuth_deg, one.elevation_deg, at_s)

    @property
    def epochs(self) -> int:
        """How many have been taken."""
        return self._epochs

    def tracks(self) -> Mapping[str, tuple[TrackPlace, ...]]:
        """By name, the oldest place first."""
        with self._lock:
            return {name: tuple(places) for name, places in self._tracks.items()}

    def signal(self) -> tuple[SignalBand, ...]:
        """Signal by system and band of elevation, as far as any was heard there."""
        with self._lock:
            return self._signal.bands()

    def signal_together(self) -> tuple[SignalBand, ...]:
        """The same of all systems together."""
        with self._lock:
            return self._signal.together()

    def obstruction(self) -> ObstructionMap:
        """What stands in the way, by direction."""
        with self._lock:
            return self._obstruction.map()

    def _take(self, one: Satellite, azimuth_deg: int, elevation_deg: int, at_s: float) -> None:
        self._obstruction.take(one, azimuth_deg, elevation_deg)
        if one.cno_dbhz:
            self._signal.take(one.name[:1], elevation_deg, one.cno_dbhz)
        track = self._tracks.get(one.name)
        if track is None:
            if len(self._tracks) >= MOST_NAMES:
                return
            track = self._tracks[one.name] = []
        begins = not track or at_s - self._seen_s[one.name] > BREAK_S
        self._seen_s[one.name] = at_s
        if begins or (azimuth_deg, elevation_deg) != track[-1][:2]:
            track.append(TrackPlace(azimuth_deg, elevation_deg, at_s, one.cno_dbhz, begins))
            if len(track) > MOST_PLACES:
                _thin(track)


def _thin(track: list[TrackPlace]) -> None:
    """In place. A place where a piece begins stays."""
    half = len(track) // 2
    track[:half] = [place for number, place in enumerate(track[:half]) if number % 2 == 0 or place.begins]


class SkyHistory(NamedTuple):
    """The memory as of one epoch: equal as long as nothing has come. What it tells may be an epoch newer."""

    memory: SkyMemory | None = None
    epochs: int = 0


NO_HISTORY = SkyHistory()
