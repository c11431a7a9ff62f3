"""From signals to pseudoranges: true range, the receiver's clock against each system, and the errors."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from core.rehearsal.front_end import Received
from core.rehearsal.ranging import Atmosphere, ErrorBudget, Paces, Ray, sigma_m
from core.rehearsal.solve import Measurement

SMALLEST_SIGMA_M = 0.001
"""For weights, when all errors are off."""
CLOCK_M = 150_000.0
"""Bound of the clock's first error: half a millisecond. Receivers keep it within one (common practice)."""
DRIFT_MPS = 150.0
"""Bound of its drift, half a millionth: a temperature-compensated crystal (common practice, no source)."""
BETWEEN_SYSTEMS_M = 30.0
"""One sigma of the difference between the clocks of two systems, as a receiver has it, 100 ns. Common practice."""


class Clocks:
    """The receiver's clock, and what each system's differs from it, in metres of range."""

    def __init__(self, rng: Random) -> None:
        self._common_m = rng.uniform(-CLOCK_M, CLOCK_M)
        self._drift_mps = rng.uniform(-DRIFT_MPS, DRIFT_MPS)
        self._offset_m = {system: rng.gauss(0.0, BETWEEN_SYSTEMS_M) for system in "GRECJI"}

    def step(self, dt_s: float) -> None:
        """One epoch on."""
        self._common_m += self._drift_mps * dt_s

    def of(self, system: str) -> float:
        """The clock error against this system's time, metres."""
        return self._common_m + self._offset_m.get(system, 0.0)


class Ranger:
    """Measures the ranges of one epoch."""

    def __init__(self, seed: int | str) -> None:
        self._air = Atmosphere(Random(f"{seed}/air"))
        self._clocks = Clocks(Random(f"{seed}/clock"))

    def step(self, dt_s: float, by: Paces) -> None:
        """One epoch on, for what all satellites share."""
        self._air.step(by)
        self._clocks.step(dt_s)

    def ranges(self, ready: Iterable[Received], budget: ErrorBudget) -> list[Measurement]:
        """A pseudorange of each; the frame's origin is the true place of the antenna."""
        return [self._range(one, one.ray, budget) for one in ready if one.ray is not None]

    def _range(self, one: Received, ray: Ray, budget: ErrorBudget) -> Measurement:
        seen = one.seen
        length, (e, n, u), system = seen.range_m, seen.unit, seen.sat.system
        error = one.chain.errors.error_m(budget, ray) + self._air.delay_m(budget, ray)
        return Measurement(
            seen.sat.name,
            system,
            (e * length, n * length, u * length),
            length + self._clocks.of(system) + error,
            max(sigma_m(budget, ray), SMALLEST_SIGMA_M),
        )
