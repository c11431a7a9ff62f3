"""A simulated receiver: at each epoch, from where it really is to what it would say.

    sky -> walls and trees -> C/N0 -> channels -> ranges with errors -> least squares -> filters -> Epoch

Everything is drawn from streams named after the seed and the satellite: one seed gives one rehearsal, and what befalls
one satellite changes no other's numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from random import Random
from typing import NamedTuple

from core.fix import Position
from core.rehearsal.clock import StationClock
from core.rehearsal.corrections import SBAS_READ_S, Corrected, Corrections, Links, Settling
from core.rehearsal.front_end import FrontEnd, Moment, Received
from core.rehearsal.gauss_markov import pace
from core.rehearsal.in_view import InView, place_in_list
from core.rehearsal.look import Seen, seen_from
from core.rehearsal.measuring import Ranger
from core.rehearsal.motion import Motion, Velocity
from core.rehearsal.offset import moved, statistics
from core.rehearsal.orbits import constellation
from core.rehearsal.positioning import Fixed, position
from core.rehearsal.ranging import noise_factor, paces
from core.rehearsal.records import EVENTS, Epoch, ReceiverConfig, Truth
from core.rehearsal.signals import fading_pace
from core.rehearsal.solve import HERE
from core.rehearsal.tracking import Start
from core.symmetric import Vector

__all__ = ["EVENTS", "Epoch", "Receiver", "ReceiverConfig", "Sky", "Truth"]

Sky = Callable[[Position, float, datetime], Sequence[Seen]]
"""Satellites above the horizon, from a position, a height above the ellipsoid in metres, and an instant."""
ALL_SYSTEMS = frozenset("GRECSJI")
INTERFERENCE_TAU_S = 2.0
"""How fast interference comes and goes. Common practice, no source."""


class _Now(NamedTuple):
    """One epoch, as all parts of the receiver see it."""

    t: datetime
    dt_s: float
    truth: Truth
    received: list[Received]


class Receiver:
    """Feed it the truth, epoch by epoch, forward in time; the first call is the moment of switching on."""

    def __init__(self, config: ReceiverConfig, seed: int | str, sky: Sky | None = None) -> None:
        self._config = config
        self._sky = sky
        self._front = FrontEnd(config.start, seed)
        self._ranger = Ranger(seed)
        self._clock = StationClock(config.start)
        self._in_view = InView(config.start)
        self._motion = Motion(Random(f"{seed}/motion"))
        self._corrections = Corrections()
        self._settling = Settling(config.budgets)
        self._filter = _PositionFilter(config.smoothing_s)
        self._last: datetime | None = None
        self._now_s = self._loss_db = 0.0
        self._held_m: float | None = None
        self._dimensions: int | None = None

    def step(self, t: datetime, truth: Truth) -> Epoch:
        """The epoch at `t` (UTC, aware, later than the last)."""
        dt_s = 0.0 if self._last is None else max(0.0, (t - self._last).total_seconds())
        self._last = t
        self._now_s += dt_s
        now = _Now(t, dt_s, truth, self._receive(t, dt_s, truth))
        self._motion.follow(dt_s, truth.speed_mps, truth.course_deg)
        fixed = self._fix(now)
        self._in_view.step(dt_s, now.received, fixed=fixed is not None)
        said = self._without_position(now)
        if fixed is not None:
            return self._with_position(said, now, fixed)
        self._filter.forget()
        self._corrections.lose(dt_s, self._links(now))
        return said

    def _receive(self, t: datetime, dt_s: float, truth: Truth) -> list[Received]:
        by = paces(self._settling.budget, dt_s, truth.speed_mps)
        self._ranger.step(dt_s, by)
        self._interfere(dt_s, truth.events)
        sky = self._seen(t, truth)
        moment = Moment(
            self._now_s, dt_s, by, fading_pace(dt_s, truth.speed_mps),
            self._config.antenna_db + self._loss_db, self._silent(truth.events),
        )  # fmt: skip
        return self._front.receive(sky, truth.surroundings, moment)

    def _seen(self, t: datetime, truth: Truth) -> Sequence[Seen]:
        """Satellites are made when first needed: their orbits start from the first instant."""
        if self._sky is None:
            sats = constellation(self._config.systems + ("S" if self._config.sbas else ""), t)
            self._sky = lambda place, height_m, when: seen_from(place, height_m, sats, when)
        return self._sky(truth.position, truth.height_m, t)

    def _interfere(self, dt_s: float, events: frozenset[str]) -> None:
        target = self._config.interference_db if "interference" in events else 0.0
        self._loss_db += (target - self._loss_db) * (1.0 - pace(dt_s, INTERFERENCE_TAU_S).keep)

    def _silent(self, events: frozenset[str]) -> frozenset[str]:
        if "outage" in events:
            return ALL_SYSTEMS
        return frozenset("S") if "sbas_off" in events or not self._config.sbas else frozenset()

    def _fix(self, now: _Now) -> Fixed | None:
        """A position needs the time too: without it the satellites' places are not known."""
        self._clock.learn(self._front.channels, self._now_s)
        ready = [one for one in now.received if self._is_ready(one)] if self._clock.has_date else []
        measured = self._ranger.ranges(ready, self._settling.budget)
        fixed = position(measured, self._filter.last or HERE, self._held_up_m(now.truth))
        if fixed is not None and fixed.solution.dimensions != self._dimensions:
            self._filter.forget()
        self._dimensions = fixed.solution.dimensions if fixed else None
        return fixed

    def _held_up_m(self, truth: Truth) -> float | None:
        """The last height, above the truth. A receiver that is not cold remembers it from before."""
        if self._held_m is not None:
            return self._held_m - truth.height_m
        if self._config.start is not Start.COLD:
            return 0.0
        return None if self._config.first_in_3d else truth.geoid_separation_m - truth.height_m

    def _is_ready(self, one: Received) -> bool:
        """SBAS satellites carry corrections; as ranges they are left out."""
        high = one.seen.elevation_deg >= self._config.mask_deg
        return high and one.seen.sat.system != "S" and one.chain.channel.ready(self._now_s)

    def _links(self, now: _Now) -> Links:
        sbas = any(one.seen.sat.system == "S" and one.chain.channel.unbroken_s >= SBAS_READ_S for one in now.received)
        return Links(sbas, "rtk" in now.truth.events)

    def _without_position(self, now: _Now) -> Epoch:
        turns = max(self._config.rollovers, int("rollover" in now.truth.events))
        seen = self._in_view.listed(now.received, self._now_s)
        return Epoch(self._clock.reading(now.t, turns), None, seen=seen)

    def _with_position(self, said: Epoch, now: _Now, fixed: Fixed) -> Epoch:
        corrected = self._corrections.step(now.dt_s, self._links(now), good=fixed.good_for_carrier)
        self._settling.step(corrected.mode, now.dt_s)
        east_m, north_m, up_m = self._filter.step(now.dt_s, fixed.solution.offset_m)
        height_m = now.truth.height_m + up_m
        self._held_m = height_m
        velocity = self._moving(now, fixed)
        return self._solved(said, fixed, corrected)._replace(
            position=moved(now.truth.position, east_m, north_m),
            height_m=height_m,
            geoid_separation_m=now.truth.geoid_separation_m,
            speed_mps=velocity.speed_mps,
            course_deg=velocity.course_deg,
        )

    def _solved(self, said: Epoch, fixed: Fixed, corrected: Corrected) -> Epoch:
        dilution = fixed.solution.dops
        return said._replace(
            mode=corrected.mode,
            dimensions=fixed.solution.dimensions,
            used=tuple(sorted((one.name for one in fixed.measurements), key=place_in_list)),
            hdop=dilution.hdop,
            pdop=dilution.pdop,
            vdop=dilution.vdop,
            tdop=dilution.tdop,
            noise=statistics(fixed.solution, [one.sigma_m for one in fixed.measurements]),
            correction_age_s=corrected.age_s,
            correction_station=self._config.base_station if corrected.by_base else None,
        )

    def _moving(self, now: _Now, fixed: Fixed) -> Velocity:
        """Doppler is the worse for weak signals and poor geometry, as ranges are."""
        names = {one.name for one in fixed.measurements}
        used = [one.ray.cno_dbhz for one in now.received if one.ray is not None and one.seen.sat.name in names]
        return self._motion.velocity(fixed.solution.dops.hdop * noise_factor(sum(used) / len(used)))


class _PositionFilter:
    """Smooths the error of position. Between epochs receivers carry it on by Doppler, taken here as without error."""

    def __init__(self, tau_s: float) -> None:
        self._tau_s = tau_s
        self.last: Vector | None = None
        """East, north, up from the true place; None before the first position and after a gap."""

    def step(self, dt_s: float, raw: Vector) -> Vector:
        """The filtered offset. The first after a gap is taken as it is."""
        old = self.last or raw
        keep = pace(dt_s, self._tau_s).keep
        self.last = (
            keep * old[0] + (1.0 - keep) * raw[0],
            keep * old[1] + (1.0 - keep) * raw[1],
            keep * old[2] + (1.0 - keep) * raw[2],
        )
        return self.last

    def forget(self) -> None:
        """No position at this epoch."""
        self.last = None
