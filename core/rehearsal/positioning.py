"""From ranges to a position that a receiver would stand by: three dimensions, else two with the height held."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from core.rehearsal.solve import Measurement, Solution, solve
from core.symmetric import Vector

MOST_DOP = 25.0
"""PDOP beyond which no position in three dimensions is given. Common practice, no source: 20 to 50."""
MOST_FLAT_HDOP = 10.0
"""HDOP beyond which none in two is given. Common practice, no source."""
MOST_SIGMAS = 4.0
"""A residual larger than this names its satellite as faulty."""
SPARE = 2
"""Satellites above the unknowns that it takes to name one: the fifth tells that, the sixth which (trade-facts.md a)."""
MOST_LEFT_OUT = 4
AGREEING_SIGMAS = 4.0
RTK_LEAST_USED = 6
RTK_MOST_HDOP = 2.5
"""Common practice, no source."""


class Fixed(NamedTuple):
    """A solution and the ranges that made it."""

    solution: Solution
    measurements: list[Measurement]

    @property
    def good_for_carrier(self) -> bool:
        """Enough satellites, well spread, that agree: what carrier phase asks for."""
        solution = self.solution
        spread = solution.dimensions == 3 and solution.dops.hdop <= RTK_MOST_HDOP
        return spread and len(self.measurements) >= RTK_LEAST_USED and _worst(self)[0] <= AGREEING_SIGMAS


def position(measurements: list[Measurement], guess: Vector, held_up_m: float | None) -> Fixed | None:
    """The best that these ranges allow, or None.

    `held_up_m`: the height to hold in two dimensions, above the frame's origin; None where that is not wanted.
    """
    usable = without_lone(measurements)
    found = _checked(usable, guess)
    if found is not None and found.solution.dops.pdop <= MOST_DOP:
        return found
    return None if held_up_m is None else _flat(usable, guess, held_up_m)


def _flat(measurements: list[Measurement], guess: Vector, held_up_m: float) -> Fixed | None:
    solution = solve(measurements, guess, held_up_m=held_up_m)
    if solution is None or solution.dops.hdop > MOST_FLAT_HDOP:
        return None
    return Fixed(solution, measurements)


def without_lone(measurements: list[Measurement]) -> list[Measurement]:
    """Without systems of one satellite only: it would pay for its clock and say nothing of the place."""
    counts = Counter(one.system for one in measurements)
    return [one for one in measurements if counts[one.system] > 1] if 1 in counts.values() else measurements


def _checked(measurements: list[Measurement], guess: Vector) -> Fixed | None:
    """Solved, and solved again without those that the others contradict."""
    solution = solve(measurements, guess)
    for _ in range(MOST_LEFT_OUT):
        if solution is None or _spare(measurements) < SPARE:
            break
        size, worst = _worst(Fixed(solution, measurements))
        if size <= MOST_SIGMAS:
            break
        measurements = without_lone(measurements[:worst] + measurements[worst + 1 :])
        solution = solve(measurements, solution.offset_m)
    return None if solution is None else Fixed(solution, measurements)


def _spare(measurements: list[Measurement]) -> int:
    return len(measurements) - len({one.system for one in measurements}) - 3


def _worst(fixed: Fixed) -> tuple[float, int]:
    """The largest residual in its sigmas, and whose it is."""
    pairs = zip(fixed.solution.residuals_m, fixed.measurements, strict=True)
    return max((abs(left) / one.sigma_m, number) for number, (left, one) in enumerate(pairs))
