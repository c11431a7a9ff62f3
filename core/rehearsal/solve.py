"""Position by iterative least squares, with one clock unknown for each satellite system, and the DOPs that go with it.

The frame is east, north, up in metres about a chosen origin. Each range is |satellite - receiver| + clock of its
system + error. The clocks are not solved for with the position but eliminated: subtracting from each system its own
weighted mean leaves three unknowns whatever the number of systems, and exactly the same answer (Schur complement of
the normal matrix). It also shows what a system costs: its first satellite pays for its clock and says nothing else.

DOPs are those of equal weights, as is the custom: Q = inverse(G^T G), G with rows [e n u 1], HDOP = sqrt(Qee + Qnn)
and so on (check-values dop_cases.json). The covariance is that of the weights, for the receiver's error statistics.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from core.geometry import Dops, dilution, enough
from core.symmetric import Symmetric, Vector, inverse, times

HERE: Vector = (0.0, 0.0, 0.0)
CLOSE_ENOUGH_M = 1.0
"""A step this small is the last: what is left is its square over twice the range, below 1e-7 m."""
MOST_STEPS = 12
"""From a guess at the earth's other side it takes six."""


class Measurement(NamedTuple):
    """One pseudorange, and where its satellite is."""

    name: str
    system: str
    """Letter of the clock that it is measured against."""
    place_m: Vector
    """The satellite, in the frame of the solution."""
    pseudorange_m: float
    sigma_m: float = 1.0
    """What the receiver believes its error to be, one sigma; weights are one over its square."""


class Solution(NamedTuple):
    """A position, its clocks, and how sure both are."""

    offset_m: Vector
    """East, north, up of the frame's origin."""
    clocks_m: dict[str, float]
    """By system letter."""
    dops: Dops
    covariance_m2: Symmetric
    """By the stated sigmas; zeros for the height when it was held."""
    residuals_m: tuple[float, ...]
    """Range less what the solution makes of it, in the order of the measurements."""
    dimensions: int
    """3, or 2 with the height held."""


class _Group(NamedTuple):
    """Sums over one system: weight, weighted directions, weighted residuals."""

    weight: float
    e: float
    n: float
    u: float
    r: float


class _Normal(NamedTuple):
    """The normal equations of the position, clocks eliminated."""

    matrix: Symmetric
    right: Vector
    groups: dict[str, _Group]


Row = tuple[str, float, float, float, float]
"""System, direction east, north, up; residual in metres."""


def solve(
    measurements: Sequence[Measurement], guess: Vector = HERE, *, held_up_m: float | None = None
) -> Solution | None:
    """The position that fits best, or None: too few satellites, or none that tell the unknowns apart.

    `held_up_m`: solve for two dimensions only, with this height above the frame's origin.
    """
    flat = held_up_m is not None
    place = guess if held_up_m is None else (guess[0], guess[1], held_up_m)
    weights = [1.0 / one.sigma_m**2 for one in measurements]
    if not enough((one.system for one in measurements), flat=flat):
        return None
    for _ in range(MOST_STEPS):
        rows = [_row(one, place) for one in measurements]
        normal = _normal(rows, weights)
        inverted = inverse(normal.matrix, flat=flat)
        if inverted is None:
            return None
        step = times(inverted, normal.right)
        place = (place[0] + step[0], place[1] + step[1], place[2] + step[2])
        if math.hypot(*step) < CLOSE_ENOUGH_M:
            return _solution(rows, normal, (place, step, inverted), flat=flat)
    return None


def _row(one: Measurement, place: Vector) -> Row:
    e, n, u = one.place_m[0] - place[0], one.place_m[1] - place[1], one.place_m[2] - place[2]
    length = math.sqrt(e * e + n * n + u * u)
    return (one.system, e / length, n / length, u / length, one.pseudorange_m - length)


def _groups(rows: Sequence[Row], weights: Sequence[float]) -> dict[str, _Group]:
    sums: dict[str, list[float]] = {}
    for (system, e, n, u, r), w in zip(rows, weights, strict=True):
        one = sums.get(system)
        if one is None:
            sums[system] = [w, w * e, w * n, w * u, w * r]
            continue
        one[0] += w
        one[1] += w * e
        one[2] += w * n
        one[3] += w * u
        one[4] += w * r
    return {system: _Group(*one) for system, one in sums.items()}


def _normal(rows: Sequence[Row], weights: Sequence[float]) -> _Normal:
    """Sums of products of what is left when each system's weighted mean is taken away.

    A longer receiver puts satellites nearer: the derivative of a range is minus the direction, hence the signs.
    """
    groups = _groups(rows, weights)
    means = {s: (g.e / g.weight, g.n / g.weight, g.u / g.weight, g.r / g.weight) for s, g in groups.items()}
    ee = nn = uu = en = eu = nu = be = bn = bu = 0.0
    for (system, e0, n0, u0, r0), w in zip(rows, weights, strict=True):
        me, mn, mu, mr = means[system]
        e, n, u, r = e0 - me, n0 - mn, u0 - mu, r0 - mr
        we, wn, wu = w * e, w * n, w * u
        ee += we * e
        nn += wn * n
        uu += wu * u
        en += we * n
        eu += we * u
        nu += wn * u
        be -= we * r
        bn -= wn * r
        bu -= wu * r
    return _Normal((ee, nn, uu, en, eu, nu), (be, bn, bu), groups)


def _solution(
    rows: Sequence[Row], normal: _Normal, found: tuple[Vector, Vector, Symmetric], *, flat: bool
) -> Solution | None:
    place, (e, n, u), covariance = found
    clocks = {s: (g.r + g.e * e + g.n * n + g.u * u) / g.weight for s, g in normal.groups.items()}
    residuals = tuple(r + re * e + rn * n + ru * u - clocks[s] for s, re, rn, ru, r in rows)
    dops = dilution([(system, (east, north, up)) for system, east, north, up, _ in rows], flat=flat)
    if dops is None:
        return None
    return Solution(place, clocks, dops, covariance, residuals, 2 if flat else 3)
