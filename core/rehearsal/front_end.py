"""From the sky to the channels: what each satellite's signal is worth at this epoch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from random import Random
from typing import NamedTuple

from core.rehearsal.gauss_markov import Pace
from core.rehearsal.look import Seen, Surroundings, blocked
from core.rehearsal.ranging import Paces, Path, Ray, SatelliteErrors
from core.rehearsal.signals import Obstacle, Signal
from core.rehearsal.tracking import Channel, Start


def obstacle(seen: Seen, around: Surroundings) -> Obstacle | None:
    """What the signal meets; None where nothing of it arrives.

    A wall on the other side, higher than the satellite, throws its signal back. A hidden satellite lights that wall
    over the near roof only when the tangent of its elevation is a third of the near wall's or more: from the middle
    of a street the ray crosses one and a half widths, the roof stands half a width away.
    """
    sight = blocked(seen, around)
    if sight == "blocked":
        return Obstacle(Path.ONLY_BOUNCED) if _lights_far_wall(seen, around) else None
    path = Path.BOUNCED if around.walls and _faces_wall(seen, around) else Path.DIRECT
    return Obstacle(path, around.canopy_db if sight == "shaded" else 0.0)


def _faces_wall(seen: Seen, around: Surroundings) -> bool:
    return around.wall_deg((seen.azimuth_deg + 180.0) % 360.0) > seen.elevation_deg


def _lights_far_wall(seen: Seen, around: Surroundings) -> bool:
    near = around.wall_deg(seen.azimuth_deg)
    if seen.elevation_deg < around.mask_deg or seen.elevation_deg > near or not _faces_wall(seen, around):
        return False
    return 3.0 * math.tan(math.radians(seen.elevation_deg)) >= math.tan(math.radians(min(near, 89.0)))


class Chain:
    """All that belongs to one satellite: its signal, its errors, its channel, each with a stream of its own."""

    __slots__ = ("channel", "errors", "signal")

    def __init__(self, system: str, start: Start, stream: str) -> None:
        self.signal = Signal(system, Random(f"{stream}/signal"))
        self.errors = SatelliteErrors(Random(f"{stream}/errors"))
        self.channel = Channel(start, Random(f"{stream}/channel"))


class Received(NamedTuple):
    """One satellite above the horizon, as the receiver has it."""

    seen: Seen
    chain: Chain
    ray: Ray | None
    """None where nothing of its signal arrives."""


class Moment(NamedTuple):
    """What one epoch is to every channel."""

    now_s: float
    """Since switching on."""
    dt_s: float
    errors: Paces
    fading: Pace
    loss_db: float
    silent: frozenset[str]
    """Systems of which nothing arrives; all of them in an outage."""


class FrontEnd:
    """The channels, made as satellites rise."""

    def __init__(self, start: Start, seed: int | str) -> None:
        self._start = start
        self._seed = seed
        self._chains: dict[str, Chain] = {}

    @property
    def channels(self) -> list[Channel]:
        """All that were ever made."""
        return [chain.channel for chain in self._chains.values()]

    def receive(self, sky: Sequence[Seen], around: Surroundings, moment: Moment) -> list[Received]:
        """One epoch: every satellite in `sky` a step on, those that set are lost."""
        received = [self._one(seen, around, moment) for seen in sky]
        for name in self._chains.keys() - {seen.sat.name for seen in sky}:
            self._chains[name].channel.hear(moment.now_s, moment.dt_s, None)
        return received

    def _one(self, seen: Seen, around: Surroundings, moment: Moment) -> Received:
        chain = self._chain(seen.sat.name, seen.sat.system, moment.now_s)
        chain.signal.step(moment.fading)
        chain.errors.step(moment.errors)
        ray = None if seen.sat.system in moment.silent else _ray(seen, chain, (obstacle(seen, around), moment.loss_db))
        chain.channel.hear(moment.now_s, moment.dt_s, ray.cno_dbhz if ray else None)
        return Received(seen, chain, ray)

    def _chain(self, name: str, system: str, now_s: float) -> Chain:
        """Satellites that rise later bring no ephemeris from before, however the receiver started."""
        chain = self._chains.get(name)
        if chain is None:
            start = self._start if now_s == 0.0 or self._start is Start.COLD else Start.WARM
            chain = self._chains[name] = Chain(system, start, f"{self._seed}/{name}")
        return chain


def _ray(seen: Seen, chain: Chain, way: tuple[Obstacle | None, float]) -> Ray | None:
    between, loss_db = way
    if between is None:
        return None
    strength = chain.signal.dbhz(seen.elevation_deg, between, loss_db)
    return Ray(seen.azimuth_deg, seen.elevation_deg, strength, between.path)
