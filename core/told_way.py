"""How far the receiver's own speed lets one have come: a bound for the way that positions make.

Between houses and under rocks positions wander by many metres within seconds, faster than any gate on displacement can
tell from walking. The speed is measured in another way, by the Doppler shift, which reflections disturb far less: where
it is told, the way can be no longer than it allows. On the bundled rehearsals, whose true way is known, positions alone
make 878 m of 592 m between tall houses, and 680 m with this bound; where the sky is open it changes nothing
(tests/core/test_trip_truth.py).

The bound is only ever an upper one. A speed that is missing, told too seldom, or so low that receivers freeze it says
nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from core.held_speed import FASTEST_MPS
from core.samples import Sample

SLACK = 1.1
"""The way may be a tenth longer than told: filters of speed lag behind. Measured on the bundled rehearsals: nothing is
lost where positions are good; without it under trees 7 m of 149 m are."""
MOST_SPARE_M = 8.0
"""Of what was told beyond the way of earlier chords this much, a chord, may still be caught up: positions lag too."""
FROZEN_MPS = 0.5
"""A mean below it is no bound: receivers set slow speeds to zero (trade-facts.md b: blank below 0.5; S16 there), and
some that know none say 0."""
LONGEST_STEP_S = 3.0
"""Beyond, the speeds at both ends say little of what lies between (common practice, no source)."""


class ToldWay:
    """Bounds one stretch after another."""

    def __init__(self) -> None:
        self._spare_m = 0.0

    def bounded(self, way_m: float, samples: Sequence[Sample]) -> float:
        """As much of the way from the first to the last of these samples as the speeds allow, metres."""
        told_m = _told_m(samples)
        if told_m is None:
            return way_m
        allowed_m = SLACK * told_m + self._spare_m
        counted_m = min(way_m, allowed_m)
        self._spare_m = min(allowed_m - counted_m, MOST_SPARE_M)
        return counted_m


def _told_m(samples: Sequence[Sample]) -> float | None:
    """By the faster of both ends of each step; None where the speeds say nothing."""
    told_m = 0.0
    for before, after in pairwise(samples):
        seconds = after.at_s - before.at_s
        fastest_mps = _faster(before, after)
        if fastest_mps is None or seconds > LONGEST_STEP_S:
            return None
        told_m += fastest_mps * seconds
    took_s = samples[-1].at_s - samples[0].at_s
    return told_m if told_m >= FROZEN_MPS * took_s > 0.0 else None


def _faster(before: Sample, after: Sample) -> float | None:
    """Of two speeds that were told, and can be."""
    if before.told_mps is None or after.told_mps is None:
        return None
    faster_mps = max(before.told_mps, after.told_mps)
    return faster_mps if 0.0 <= faster_mps <= FASTEST_MPS else None
