"""What averaging costs, as a ratio to sorting the same fixes by their distance from the origin.

Run from the project's folder: `python -m tests.benchmarks.averaging`. Ten minutes, an hour and four hours at one fix a
second, and four hours at ten. The ratio falls as the fixes become many: what is thought of them is of bounded size.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from random import Random
from time import process_time

from core.averaging import SiteSample, average
from core.rehearsal.gauss_markov import GaussMarkov, pace

TAU_S, SIGMA_M = 60.0, 2.0


def site(count: int, step_s: float) -> list[SiteSample]:
    """Fixes of a standing receiver whose errors wander."""
    axes, by = [GaussMarkov(Random(seed)) for seed in range(3)], pace(step_s, TAU_S)
    found = []
    for n in range(count):
        found.append(SiteSample(n * step_s, *(SIGMA_M * axis.value for axis in axes)))
        for axis in axes:
            axis.step(by)
    return found


def least_s(work: Callable[[], object]) -> float:
    """The best of three: what is more is the machine's."""
    taken = []
    for _ in range(3):
        begin = process_time()
        work()
        taken.append(process_time() - begin)
    return min(taken)


def _distance_m(one: SiteSample) -> float:
    return math.hypot(one.east_m, one.north_m)


def main() -> None:
    """One line a length."""
    print(f"{'fixes':>8} {'average ms':>11} {'sort ms':>8} {'ratio':>6}")
    for count, step_s in ((600, 1.0), (3600, 1.0), (14_400, 1.0), (144_000, 0.1)):
        samples = site(count, step_s)
        ours = least_s(partial(average, samples))
        plain = least_s(partial(sorted, samples, key=_distance_m))
        print(f"{count:8} {1000 * ours:11.1f} {1000 * plain:8.2f} {ours / plain:6.1f}")


if __name__ == "__main__":
    main()
