"""How fixes scatter about their middle, in the usual figures and with their definitions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

DEFINITIONS = {
    "CEP": "circular error probable: the circle about the mean that half of the fixes lie in",
    "DRMS": "the root of the mean square distance from the mean; it holds 63 % of the fixes where both axes are equal",
    "R95": "the circle about the mean that 95 % of the fixes lie in",
    "2DRMS": "twice DRMS; it holds 95 to 98 % of the fixes, by how round their scatter is: not the same as R95",
}
"""Of the scatter of single fixes, not of the mean. 63 and 98 % are those of equal axes (accuracy.toml), 95.4 to 98.2 %
after Langley 1991 as quoted there."""


class Spread(NamedTuple):
    """The scatter of single fixes about their mean, metres."""

    cep_m: float
    """Counted, not worked out from the standard deviations: half are nearer."""
    drms_m: float
    r95_m: float
    """Counted: 95 % are nearer."""
    two_drms_m: float
    sigma_east_m: float
    sigma_north_m: float
    correlation: float
    """Of east with north, -1 to 1; 0 where one of them does not scatter."""


class VerticalSpread(NamedTuple):
    """The scatter of heights about their mean, metres: half, and 95 %, are nearer."""

    p50_m: float
    p95_m: float


def spread_of(east_m: Sequence[float], north_m: Sequence[float]) -> Spread:
    """Of at least two fixes, in metres from their mean."""
    count = len(east_m)
    distances = sorted(map(math.hypot, east_m, north_m))
    ee, nn = (math.fsum(value * value for value in axis) / count for axis in (east_m, north_m))
    en = math.fsum(e * n for e, n in zip(east_m, north_m, strict=True)) / count
    drms = math.sqrt(ee + nn)
    correlation = en / math.sqrt(ee * nn) if ee > 0.0 and nn > 0.0 else 0.0
    return Spread(
        quantile(distances, 0.5),
        drms,
        quantile(distances, 0.95),
        2.0 * drms,
        math.sqrt(ee),
        math.sqrt(nn),
        max(-1.0, min(1.0, correlation)),
    )


def vertical_spread_of(up_m: Sequence[float]) -> VerticalSpread:
    """Of at least one height, in metres from their mean."""
    distances = sorted(map(abs, up_m))
    return VerticalSpread(quantile(distances, 0.5), quantile(distances, 0.95))


def quantile(ordered: Sequence[float], share: float) -> float:
    """Between the two nearest of at least one value in rising order."""
    at = share * (len(ordered) - 1)
    below = int(at)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (ordered[above] - ordered[below]) * (at - below)
