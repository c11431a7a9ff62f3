"""A modest model of a receiver: channels that find, decode and lose satellites, and the position they allow.

The thresholds are common practice without a source unless said; they are chosen to look like a good small receiver,
not like any particular one. C/N0 in dB-Hz, lengths in metres, times in whole seconds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import NamedTuple

from replays._sky import ORBITS, Look, Spread, spread
from replays._walk import Moment

ACQUIRE_DBHZ = 27.0
LOSE_DBHZ = 15.0
DECODE_DBHZ = 27.0
"""Below about 25 to 28 the broadcast data no longer decodes (textbooks, from memory)."""
USE_DBHZ = 22.0
USE_ELEVATION_DEG = 10.0
PDOP_LIMIT = 8.0
RANGE_SIGMA_M = 1.6
"""One sigma of a range error under open sky with two frequencies."""
WANDER_S = 60.0
"""Correlation time of position errors: about a minute (a component of that length is what long studies of standing
receivers found)."""
HELD_HEIGHT_M = 12.0
"""Above the car: the wrong height that the 2D fix has to assume."""

_FIRST_SEEN = "GECRS"
"""The systems in the order in which a cold start searches them."""


@dataclass
class Channel:
    """What the receiver knows of one satellite, second by second."""

    name: str
    wait_s: int
    """Seconds of good signal that the next acquisition takes."""
    data_need_s: int
    """Seconds of decoding until the ephemeris is complete: 18 to 30 for GPS, whose frames repeat every 30 s."""
    offset_db: float
    """How much stronger than its elevation alone this satellite is here."""
    shade: float
    """How much of the loss by trees meets this satellite, about 1."""
    wander_db: float = 0.0
    good_s: int = 0
    tracked_s: int = 0
    data_s: int = 0
    cno_dbhz: float = 0.0

    @property
    def tracked(self) -> bool:
        """Whether the signal is followed now."""
        return self.tracked_s > 0

    @property
    def placed(self) -> bool:
        """Whether the ephemeris is known, so that the receiver can tell where the satellite stands."""
        return self.data_s >= self.data_need_s

    def step(self, elevation_deg: float, loss_db: float) -> None:
        """One second more at this elevation under this loss."""
        sine = max(0.0, math.sin(math.radians(elevation_deg)))
        low = 1.25 - 0.4 * sine
        self.cno_dbhz = 32.0 + 15.0 * math.sqrt(sine) + self.offset_db + self.wander_db - loss_db * self.shade * low
        self.good_s = self.good_s + 1 if self.cno_dbhz >= ACQUIRE_DBHZ else 0
        if not self.tracked and self.good_s > self.wait_s:
            self.tracked_s = 1
        elif self.tracked and self.cno_dbhz < LOSE_DBHZ:
            # Found again sooner than the first time: the receiver knows where to look.
            self.tracked_s, self.wait_s = 0, 2 + self.wait_s % 5
        elif self.tracked:
            self.tracked_s += 1
        self.data_s += self.tracked and self.cno_dbhz >= DECODE_DBHZ

    def usable(self, elevation_deg: float) -> bool:
        """Whether it may join the fix; the augmentation satellites only carry data here."""
        strong = self.tracked_s > 2 and self.cno_dbhz >= USE_DBHZ
        return strong and self.placed and elevation_deg >= USE_ELEVATION_DEG and not self.name.startswith("S")


class Solution(NamedTuple):
    """A position and how it came about."""

    dimensions: int
    used: frozenset[str]
    spread: Spread
    range_sigma_m: float
    east_m: float
    north_m: float
    up_m: float
    speed_mps: float
    course_deg: float


def _channels(rng: Random) -> dict[str, Channel]:
    """All satellites, unknown yet: the systems are searched one after another, GPS first."""
    order = sorted(ORBITS, key=lambda orbit: (_FIRST_SEEN.index(orbit.name[0]), rng.random()))
    return {
        orbit.name: Channel(
            name=orbit.name,
            wait_s=3 + rank * 3 // 4 + rng.randrange(4),
            data_need_s=rng.randrange(18, 31),
            offset_db=rng.uniform(-2.0, 1.0),
            shade=rng.uniform(0.8, 1.15),
        )
        for rank, orbit in enumerate(order)
    }


@dataclass
class Receiver:
    """All channels and the slow errors; feed it one second after another."""

    rng: Random
    channels: dict[str, Channel] = field(init=False)
    errors: list[float] = field(default_factory=lambda: [0.0, 0.0, 0.0])
    """East, north and up, in units of range sigma times DOP."""
    was: Moment | None = None
    had_height: bool = False
    """Once a height is known, this receiver rather gives no fix than one with an assumed height."""

    def __post_init__(self) -> None:
        self.channels = _channels(self.rng)

    def step(self, looks: Mapping[str, Look], moment: Moment) -> Solution | None:
        """Track and solve one second; None where there is no position."""
        self._track(looks, moment.loss_db)
        keep = math.exp(-1 / WANDER_S)
        self.errors = [keep * error + math.sqrt(1 - keep * keep) * self.rng.gauss(0, 1) for error in self.errors]
        before, self.was = self.was or moment, moment
        return self._solve(looks, before, moment)

    def _track(self, looks: Mapping[str, Look], loss_db: float) -> None:
        for name, channel in self.channels.items():
            channel.wander_db = 0.97 * channel.wander_db + self.rng.gauss(0, 0.25)
            channel.step(looks[name].elevation_deg if name in looks else -90.0, loss_db)

    def _solve(self, looks: Mapping[str, Look], before: Moment, now: Moment) -> Solution | None:
        used = [one for name, one in looks.items() if self.channels[name].usable(one.elevation_deg)]
        held = len(used) == 3 and not self.had_height
        worth = spread(used, held_height=held)
        if worth is None or worth.pdop > PDOP_LIMIT:
            return None
        self.had_height = self.had_height or not held
        weakness = 1 + now.loss_db / 20
        sigma = RANGE_SIGMA_M * weakness
        speed, course = self._motion(before, now, 0.03 * worth.hdop * weakness)
        return Solution(
            dimensions=2 if held else 3,
            used=frozenset(one.name for one in used),
            spread=worth,
            range_sigma_m=sigma,
            east_m=now.east_m + self.errors[0] * sigma * math.sqrt(worth.east),
            north_m=now.north_m + self.errors[1] * sigma * math.sqrt(worth.north),
            up_m=HELD_HEIGHT_M if held else now.up_m + self.errors[2] * sigma * math.sqrt(worth.up),
            speed_mps=speed,
            course_deg=course,
        )

    def _motion(self, before: Moment, now: Moment, sigma_mps: float) -> tuple[float, float]:
        """Speed and course from the Doppler shifts: the true motion and a small error of its own."""
        east = now.east_m - before.east_m + self.rng.gauss(0, sigma_mps)
        north = now.north_m - before.north_m + self.rng.gauss(0, sigma_mps)
        return math.hypot(east, north), math.degrees(math.atan2(east, north)) % 360


def tracked(channels: Mapping[str, Channel], looks: Iterable[str]) -> list[Channel]:
    """The channels worth reporting among `looks`: followed now, or placed by their ephemeris."""
    return [channels[name] for name in looks if channels[name].tracked or channels[name].placed]
