"""Trips for the tests of tracks and totals: walks with known truth (`tests.walks`), fed as a receiver's epochs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import repeat

from core.fix import Fix
from core.track import TrackLog
from core.trip import Totals, TripMeter
from tests.walks import OCEAN, PACE_MPS, Noise, Step, fix_at, laid, noisy, standing, straight, then

USUAL = Noise(2.5, 300.0, 0.3)
HARD = Noise(3.0, 60.0, 0.3)
"""As bad as it gets in the open: 3 m, one sigma, that wander within a minute."""
STANDING_NOISES = [HARD, Noise(1.0, 60.0, 0.3), Noise(2.0, 300.0, 0.3), Noise(2.0, 600.0, 0.3), Noise(3.0, 600.0, 0.3)]


def walked(walk: Iterable[Step], into: TripMeter | None = None, *, usable: bool = True) -> TripMeter:
    """A meter that has seen all of a walk, without heights and speeds."""
    meter = into or TripMeter()
    for step in walk:
        meter.take(fix_at(step), step.at_s, usable)
    return meter


def finished(walk: Iterable[Step]) -> Totals:
    """Totals of a walk that is over."""
    meter = walked(walk)
    meter.finish()
    return meter.totals()


def climbed(heights: Sequence[float], *, dimensions: int | None = 3) -> Totals:
    """Totals of a straight walk with these heights, one a second."""
    meter = TripMeter()
    for step, height in zip(straight(OCEAN, 30.0, len(heights) - 1), heights, strict=True):
        meter.take(fix_at(step)._replace(altitude_m=height, dimensions=dimensions), step.at_s, True)
    return meter.totals()


def sped(speeds: Sequence[float | None], usable: Iterable[bool] = repeat(True)) -> TripMeter:
    """A meter that has seen these speeds, one a second, on a straight walk."""
    meter = TripMeter()
    for step, speed, good in zip(straight(OCEAN, 0.0, len(speeds) - 1), speeds, usable, strict=False):
        meter.take(fix_at(step)._replace(speed_mps=speed), step.at_s, good)
    return meter


def tracked(walk: Iterable[Step], log: TrackLog) -> TrackLog:
    """A log that has seen all of a walk."""
    for step in walk:
        log.take(fix_at(step), step.at_s, True)
    return log


def shifted(walk: Iterable[Step], seconds: float) -> list[Step]:
    """The same, later."""
    return [Step(step.at_s + seconds, step.place) for step in walk]


def walk_and_stop(metres: float, stop_s: int) -> list[Step]:
    """A straight walk, and standing at its end."""
    end = laid(OCEAN, 90.0, metres)
    return then(straight(OCEAN, 90.0, metres / PACE_MPS), standing(end, stop_s))


def void_fix(second: float, speed: float | None = None) -> Fix:
    """The receiver says that it has no fix, and may send a speed all the same."""
    return Fix(utc=fix_at(Step(second, OCEAN)).utc, speed_mps=speed, told=True)


def noisy_at_10_hz(walk: list[Step], noise: Noise, seed: int) -> list[Step]:
    """Errors come a step at a time there: ten times as many steps to the same seconds."""
    return noisy(walk, noise._replace(tau_s=10 * noise.tau_s), seed)
