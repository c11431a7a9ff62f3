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
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

Vector = tuple[float, float, float]
"""East, north, up; metres, or without a unit for directions."""
Symmetric = tuple[float, float, float, float, float, float]
"""A symmetric matrix: ee, nn, uu, en, eu, nu."""
HERE: Vector = (0.0, 0.0, 0.0)
CLOSE_ENOUGH_M = 1.0
"""A step this small is the last: what is left is its square over twice the range, below 1e-7 m."""
MOST_STEPS = 12
"""From a guess at the earth's other side it takes six."""
SINGULAR = 1e-10
"""Least determinant of the normal matrix, over the cube of its mean diagonal. A PDOP of some thousands."""


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


class Dops(NamedTuple):
    """Dilutions of precision, without unit. In two dimensions there is no VDOP, and PDOP is HDOP."""

    hdop: float
    pdop: float
    vdop: float | None
    tdop: float
    """Of the clock of the system with the most satellites."""

    @property
    def gdop(self) -> float:
        """All unknowns together."""
        return math.hypot(self.pdop, self.tdop)


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
        inverse = _inverse(normal.matrix, flat=flat)
        if inverse is None:
            return None
        step = _times(inverse, normal.right)
        place = (place[0] + step[0], place[1] + step[1], place[2] + step[2])
        if math.hypot(*step) < CLOSE_ENOUGH_M:
            return _solution(rows, normal, (place, step, inverse), flat=flat)
    return None


def dops(directions: Sequence[tuple[str, Vector]], *, flat: bool = False) -> Dops | None:
    """The DOPs of satellites given as (system, unit vector); None where they allow no position."""
    rows: list[Row] = [(system, *unit, 0.0) for system, unit in directions]
    return _dops(rows, flat=flat) if enough((row[0] for row in rows), flat=flat) else None


def enough(systems: Iterable[str], *, flat: bool = False) -> bool:
    """Whether there are as many satellites as unknowns: three of place (two with the height held), one a system."""
    counts = Counter(systems)
    return counts.total() - len(counts) >= (2 if flat else 3)


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


def _inverse(matrix: Symmetric, *, flat: bool) -> Symmetric | None:
    """None where the matrix has none that means anything. Flat: of east and north alone, the rest zeros."""
    ee, nn, uu, en, eu, nu = matrix
    if flat:
        det = ee * nn - en * en
        if det <= SINGULAR * ((ee + nn) / 2) ** 2:
            return None
        return (nn / det, ee / det, 0.0, -en / det, 0.0, 0.0)
    cee, cen, ceu = nn * uu - nu * nu, eu * nu - en * uu, en * nu - eu * nn
    det = ee * cee + en * cen + eu * ceu
    if det <= SINGULAR * ((ee + nn + uu) / 3) ** 3:
        return None
    cnn, cuu, cnu = ee * uu - eu * eu, ee * nn - en * en, en * eu - ee * nu
    return (cee / det, cnn / det, cuu / det, cen / det, ceu / det, cnu / det)


def _times(q: Symmetric, v: Vector) -> Vector:
    ee, nn, uu, en, eu, nu = q
    e, n, u = v
    return (ee * e + en * n + eu * u, en * e + nn * n + nu * u, eu * e + nu * n + uu * u)


def _dops(rows: Sequence[Row], *, flat: bool) -> Dops | None:
    normal = _normal(rows, [1.0] * len(rows))
    q = _inverse(normal.matrix, flat=flat)
    if q is None:
        return None
    most = max(normal.groups.values(), key=lambda group: group.weight)
    mean = (most.e / most.weight, most.n / most.weight, most.u / most.weight)
    tt = 1.0 / most.weight + sum(a * b for a, b in zip(mean, _times(q, mean), strict=True))
    return Dops(math.sqrt(q[0] + q[1]), math.sqrt(q[0] + q[1] + q[2]), None if flat else math.sqrt(q[2]), math.sqrt(tt))


def _solution(
    rows: Sequence[Row], normal: _Normal, found: tuple[Vector, Vector, Symmetric], *, flat: bool
) -> Solution | None:
    place, (e, n, u), covariance = found
    clocks = {s: (g.r + g.e * e + g.n * n + g.u * u) / g.weight for s, g in normal.groups.items()}
    residuals = tuple(r + re * e + rn * n + ru * u - clocks[s] for s, re, rn, ru, r in rows)
    dilution = _dops(rows, flat=flat)
    if dilution is None:
        return None
    return Solution(place, clocks, dilution, covariance, residuals, 2 if flat else 3)
