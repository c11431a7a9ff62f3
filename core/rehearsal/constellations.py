"""Where each system keeps its satellites: slots as tables, with their sources.

A nominal sky, not tonight's. The geometry within a system is the published one; which number flies in which slot, how
the systems are turned against each other and where the geostationary satellites stand is invented, and said so below.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import NamedTuple

EPOCH = datetime(1993, 7, 1, tzinfo=UTC)
"""Of all slots: that of the GPS table, which gives Greenwich an hour angle of 18 h 36 min 14.4 s there (from memory;
tests/core/test_rehearsal_orbits.py has the same angle from a library)."""


class Slot(NamedTuple):
    """One place in a circular orbit, at `EPOCH`."""

    name: str
    """RINEX, "G05"."""
    node_deg: float
    """Right ascension of the ascending node, 0 to below 360."""
    argument_deg: float
    """Argument of latitude: how far past the node along the orbit, 0 to below 360."""
    inclination_deg: float
    radius_m: float


# GPS Standard Positioning Service Performance Standard, October 2001, table 3-1 (gps_baseline_24slot.csv: opened as an
# excerpt): six planes, four slots each, unevenly spaced so that the loss of one hurts least.
GPS_NODES_DEG = {"A": 272.847, "B": 332.847, "C": 32.847, "D": 92.847, "E": 152.847, "F": 212.847}
GPS_ARGUMENTS_DEG = {
    "A": (268.126, 161.786, 11.676, 41.806),
    "B": (80.956, 173.336, 309.976, 204.376),
    "C": (111.876, 11.796, 339.666, 241.556),
    "D": (135.226, 265.446, 35.156, 167.356),
    "E": (197.046, 302.596, 66.066, 333.686),
    "F": (238.886, 345.226, 105.206, 135.346),
}
GPS_INCLINATION_DEG = 55.0
"""The same standard, from memory."""
GPS_RADIUS_M = 26_559_700.0
"""The same standard, from memory. 2 km under what two orbits a sidereal day ask of two bodies alone: the flattening of
the earth turns the planes back by 0.04 degrees a day, and satellites fly a little faster to make up for it."""


class Walker(NamedTuple):
    """A regular constellation: planes evenly around the equator, satellites evenly in each plane."""

    inclination_deg: float
    radius_m: float
    first_number: int
    first_node_deg: float
    """Of plane 1 at `EPOCH`. Invented: it only keeps the planes of the systems apart."""


PLANES = 3
PER_PLANE = 8
PHASE_DEG = 15.0
"""From a plane to the next. All three systems are 24/3/1: phase = 1 x 360 / 24."""

# walker_constellations.csv: nominal figures, from mixed sources. GLONASS numbers are slots; BeiDou's from 19 on are the
# MEO satellites of its third generation (from memory); Galileo's are counted through.
WALKERS = {
    "R": Walker(64.8, 25_508_200.0, 1, 50.0),
    "E": Walker(56.0, 29_600_318.0, 1, 10.0),
    "C": Walker(55.0, 27_906_100.0, 19, 90.0),
}

SBAS_LONGITUDES_DEG = {"S45": -152.0, "S46": -92.0, "S47": -32.0, "S48": 28.0, "S49": 88.0, "S50": 148.0}
"""Invented, numbers too: one every 60 degrees, so that two or three are in view from all but high latitudes."""

SYSTEMS = ("G", "R", "E", "C")
"""Systems with orbits in this file. "S" has longitudes instead."""


def gps_slots() -> list[Slot]:
    """G01 is slot A1, G24 is F4 (invented: real numbers follow the launches)."""
    pairs = [(node, angle) for plane, node in GPS_NODES_DEG.items() for angle in GPS_ARGUMENTS_DEG[plane]]
    return [
        Slot(f"G{number:02d}", node, angle, GPS_INCLINATION_DEG, GPS_RADIUS_M)
        for number, (node, angle) in enumerate(pairs, 1)
    ]


def walker_slots(system: str) -> list[Slot]:
    """The 24 of "R", "E" or "C", plane by plane."""
    shape = WALKERS[system]
    return [
        Slot(
            f"{system}{shape.first_number + plane * PER_PLANE + place:02d}",
            (shape.first_node_deg + plane * 360.0 / PLANES) % 360.0,
            (place * 360.0 / PER_PLANE + plane * PHASE_DEG) % 360.0,
            shape.inclination_deg,
            shape.radius_m,
        )
        for plane in range(PLANES)
        for place in range(PER_PLANE)
    ]


def slots(system: str) -> list[Slot]:
    """All slots of a letter of `SYSTEMS`."""
    return gps_slots() if system == "G" else walker_slots(system)
