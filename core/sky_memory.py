"""What the sky has shown so far: tracks of the satellites, signal by elevation, and where something stands in the way.

Filled epoch by epoch in the feed's thread, asked in another; bounded however long a session is. Nothing is drawn or
worked out before somebody asks.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from core.fix import Satellite
from core.obstruction import Obstruction, ObstructionMap
from core.signal_by_elevation import SignalBand, SignalByElevation, usual_dbhz

MOST_NAMES = 256
"""More than all systems together have; damage that makes up more must not fill the memory."""
MOST_PLACES = 2000
"""Of one track: a satellite crosses the sky in fewer than 400 whole degrees, two or three times a day. A longer track
loses every second place of its older half."""
EVERY_S = 0.95
"""Between two epochs that count, at least: at 10 Hz nine of ten would say the same again, and cost as much."""
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
        self._taken_s = -math.inf

    def wants(self, at_s: float) -> bool:
        """Whether an epoch at this time would count: it is not as good as that of the last one."""
        return not 0.0 <= at_s - self._taken_s < EVERY_S

    def take(self, satellites: Iterable[Satellite], at_s: float, *, fixed: bool = True) -> None:
        """The satellites reported in view in one epoch.

        Those without a direction are left out, and those at 0 degrees of both angles: so some receivers write that
        they do not know. `fixed`: there is a satellite fix. Without one the directions may be of yesterday and the
        silence of a jammed or a just started receiver: then nothing is learned of what stands in the way.
        """
        if not self.wants(at_s):
            return
        self._taken_s = at_s
        with self._lock:
            self._epochs += 1
            for one in satellites:
                if (place := _place(one, at_s)) is not None:
                    self._take(one, place, fixed)

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
            return self._obstruction.map(usual_dbhz(self._signal.bands()))

    def _take(self, one: Satellite, place: TrackPlace, fixed: bool) -> None:
        if fixed:
            self._obstruction.take(one, place.azimuth_deg, place.elevation_deg)
        if one.cno_dbhz:
            self._signal.take(one.name[:1], place.elevation_deg, one.cno_dbhz)
        if one.name in self._tracks or len(self._tracks) < MOST_NAMES:
            self._go_on(one.name, place)

    def _go_on(self, name: str, place: TrackPlace) -> None:
        track = self._tracks.setdefault(name, [])
        begins = not track or place.at_s - self._seen_s[name] > BREAK_S
        self._seen_s[name] = place.at_s
        if begins or place[:2] != track[-1][:2]:
            track.append(place._replace(begins=begins))
            if len(track) > MOST_PLACES:
                _thin(track)


def _place(one: Satellite, at_s: float) -> TrackPlace | None:
    """None where it is not known, or below the horizon."""
    azimuth_deg, elevation_deg = one.azimuth_deg, one.elevation_deg
    if azimuth_deg is None or elevation_deg is None or elevation_deg < 0 or not (azimuth_deg or elevation_deg):
        return None
    return TrackPlace(azimuth_deg, elevation_deg, at_s, one.cno_dbhz, begins=False)


def _thin(track: list[TrackPlace]) -> None:
    """In place. A place where a piece begins stays."""
    half = len(track) // 2
    track[:half] = [place for number, place in enumerate(track[:half]) if number % 2 == 0 or place.begins]


class SkyHistory(NamedTuple):
    """The memory as of one epoch: equal as long as nothing has come. What it tells may be an epoch newer."""

    memory: SkyMemory | None = None
    epochs: int = 0


NO_HISTORY = SkyHistory()
