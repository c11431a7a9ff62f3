"""Dilution of precision: what the places of the satellites in the sky make of an error in range.

Equal weights, as is the custom: Q = inverse(G^T G), G with rows [e n u 1], HDOP = sqrt(Qee + Qnn) and so on
(check-values dop_cases.json), and one clock unknown for each satellite system (see `ON_GPS_TIME`). The clocks are
eliminated: taking from each system its own mean direction leaves three unknowns whatever the number of systems, and
exactly the same answer (Schur complement). It also shows what a system costs: its first satellite pays for its clock
and says nothing else.

Not every receiver counts so. Some count a height that they hold as one more measurement, some use satellites that they
do not list or list some that they do not use, some weight their measurements: their own figures may differ, and stand
beside ours (tests/core/test_geometry_recordings.py has what was found).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from core.fix import Satellite
from core.symmetric import Symmetric, Vector, inverse, times

LARGEST = 99.9
"""Of a dilution that is shown. GSV gives directions in whole degrees, so each is off by 0.005 radians (half a degree
over the root of three); a sky that is told apart by no more than twice that has a dilution of 100, and the figure is
that of the rounding. It is also the most that the usual field of a sentence has room for."""
Direction = tuple[str, Vector]
"""Letter of the clock and unit vector towards the satellite."""
ON_GPS_TIME = {"S": "G", "J": "G"}
"""Augmentation satellites and QZSS keep GPS time by design (from memory of their interface specifications), and
receivers count one clock for all three: the figures of a recording of 2005 are met so, and missed by a factor of two
with a clock of their own (tests/core/test_geometry_recordings.py)."""


class Sight(NamedTuple):
    """A satellite by its direction."""

    name: str
    """As in RINEX."""
    azimuth_deg: float
    elevation_deg: float

    @property
    def system(self) -> str:
        """Letter of the system."""
        return self.name[:1]

    @property
    def clock(self) -> str:
        """Letter of the system whose clock it is measured against."""
        return ON_GPS_TIME.get(self.system, self.system)

    @property
    def direction(self) -> Direction:
        """The clock and the unit vector."""
        return self.clock, unit(self.azimuth_deg, self.elevation_deg)


class Dops(NamedTuple):
    """Dilutions of precision, without unit. With the height held there is no VDOP, and PDOP is HDOP."""

    hdop: float
    pdop: float
    vdop: float | None
    tdop: float
    """Of the clock that is named."""
    clock: str
    """System whose clock TDOP is of: the one with the most satellites, of equals the first by letter."""

    @property
    def gdop(self) -> float:
        """Place and the named clock together.

        The clocks of other systems are no part of it: it would grow with each that is added, though nothing got worse.
        """
        return math.hypot(self.pdop, self.tdop)


class Cost(NamedTuple):
    """What losing one satellite would do."""

    name: str
    without: Dops | None
    """None: there would be no position that means anything."""
    hdop_rise: float | None
    pdop_rise: float | None


class _Group(NamedTuple):
    """Sums over one system: number, directions."""

    number: float
    e: float
    n: float
    u: float


def unit(azimuth_deg: float, elevation_deg: float) -> Vector:
    """East, north, up."""
    azimuth, elevation = math.radians(azimuth_deg), math.radians(elevation_deg)
    level = math.cos(elevation)
    return (level * math.sin(azimuth), level * math.cos(azimuth), math.sin(elevation))


def sights_in_fix(satellites: Iterable[Satellite]) -> tuple[Sight, ...]:
    """Those in the fix whose direction is known."""
    return tuple(
        Sight(one.name, one.azimuth_deg, one.elevation_deg)
        for one in satellites
        if one.in_fix and one.azimuth_deg is not None and one.elevation_deg is not None
    )


def dops(sights: Sequence[Sight]) -> Dops | None:
    """None: fewer satellites than unknowns, or a sky that does not tell the unknowns apart."""
    found = dilution([one.direction for one in sights])
    return found if found is not None and found.gdop <= LARGEST else None


def costs(sights: Sequence[Sight]) -> tuple[Cost, ...]:
    """What losing each would cost, dearest first: those without whom there is no position, then by the rise of PDOP.

    Empty where there is no position to begin with.
    """
    whole = dops(sights)
    if whole is None:
        return ()
    found = [_cost(one.name, whole, dops(_others(sights, one))) for one in sights]
    return tuple(sorted(found, key=lambda cost: (cost.pdop_rise is not None, -(cost.pdop_rise or 0.0), cost.name)))


def dilution(directions: Sequence[Direction], *, flat: bool = False) -> Dops | None:
    """The figures however large; None where there are none. `flat`: the height is held."""
    if not enough((system for system, _ in directions), flat=flat):
        return None
    groups = _groups(directions)
    q = inverse(_normal(directions, groups), flat=flat)
    if q is None:
        return None
    system = min(groups, key=lambda letter: (-groups[letter].number, letter))
    horizontal, position = math.sqrt(q[0] + q[1]), math.sqrt(q[0] + q[1] + q[2])
    return Dops(horizontal, position, None if flat else math.sqrt(q[2]), _tdop(groups[system], q), system)


def enough(systems: Iterable[str], *, flat: bool = False) -> bool:
    """Whether there are as many satellites as unknowns: three of place (two with the height held), one a system."""
    counts = Counter(systems)
    return counts.total() - len(counts) >= (2 if flat else 3)


def _others(sights: Sequence[Sight], left_out: Sight) -> list[Sight]:
    return [one for one in sights if one is not left_out]


def _cost(name: str, whole: Dops, without: Dops | None) -> Cost:
    if without is None:
        return Cost(name, None, None, None)
    return Cost(name, without, without.hdop - whole.hdop, without.pdop - whole.pdop)


def _tdop(group: _Group, q: Symmetric) -> float:
    mean = (group.e / group.number, group.n / group.number, group.u / group.number)
    return math.sqrt(1.0 / group.number + sum(a * b for a, b in zip(mean, times(q, mean), strict=True)))


def _groups(directions: Sequence[Direction]) -> dict[str, _Group]:
    sums: dict[str, list[float]] = {}
    for system, (e, n, u) in directions:
        one = sums.setdefault(system, [0.0, 0.0, 0.0, 0.0])
        one[0] += 1.0
        one[1] += e
        one[2] += n
        one[3] += u
    return {system: _Group(*one) for system, one in sums.items()}


def _normal(directions: Sequence[Direction], groups: dict[str, _Group]) -> Symmetric:
    ee = nn = uu = en = eu = nu = 0.0
    for e, n, u in _centred(directions, groups):
        ee += e * e
        nn += n * n
        uu += u * u
        en += e * n
        eu += e * u
        nu += n * u
    return (ee, nn, uu, en, eu, nu)


def _centred(directions: Sequence[Direction], groups: dict[str, _Group]) -> Iterator[Vector]:
    """What is left of each direction when the mean of its system is taken away."""
    means = {system: (g.e / g.number, g.n / g.number, g.u / g.number) for system, g in groups.items()}
    for system, (e, n, u) in directions:
        me, mn, mu = means[system]
        yield e - me, n - mn, u - mu
