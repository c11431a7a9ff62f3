"""One direction by three norths, at one place and on one day."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from core.fix import Position
from core.places.convergence import Convergence, convergence, grid_from_true
from core.places.magnetic import Declination, declination, magnetic_from_true


class Bearings(NamedTuple):
    """Each 0 to below 360."""

    true_deg: float
    magnetic_deg: float | None
    """None where no compass can be relied on, or the declination is not known."""
    grid_deg: float


class Norths(NamedTuple):
    """Where magnetic and grid north lie."""

    declination: Declination | None
    """None where the model does not hold on this day, or no compass can be relied on."""
    grid: Convergence

    def bearings(self, true_deg: float) -> Bearings:
        """A true direction, any number of degrees, by all three."""
        true_deg = true_deg % 360.0 % 360.0
        found = self.declination
        magnetic_deg = magnetic_from_true(true_deg, found) if found else None
        return Bearings(true_deg, magnetic_deg, grid_from_true(true_deg, self.grid))


def norths_at(position: Position, day: date) -> Norths:
    """At a place, its height left out: it moves declination by hundredths of a degree."""
    found = declination(position, day)
    works = found.valid and found.zone != "blackout"
    return Norths(found if works else None, convergence(position))
