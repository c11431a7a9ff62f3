"""What a scenario is made of."""

from __future__ import annotations

from typing import NamedTuple

from core.fix import Position
from core.rehearsal.walls import Surroundings, street


class Around(NamedTuple):
    """What stands around a stretch of the way."""

    plain: Surroundings = Surroundings()
    """Without the street."""
    street_m: tuple[float, float] | None = None
    """Height of the fronts above the antenna, and width between them."""
    street_heading_deg: float | None = None
    """True; None = along the way."""

    def surroundings(self, heading_deg: float) -> Surroundings:
        """On a way that leads along `heading_deg`, true."""
        if self.street_m is None:
            return self.plain
        along = heading_deg if self.street_heading_deg is None else self.street_heading_deg
        plain = self.plain
        walls = plain.walls + street(along, *self.street_m)
        return Surroundings(plain.mask_deg, walls, plain.canopy_db, plain.canopy_below_deg)


class Stop(NamedTuple):
    """A place of the path, and how it goes on from there."""

    position: Position
    height_m: float
    """Above mean sea level."""
    pause_s: float
    speed_mps: float
    """To the next one, over ground."""
    around: Around
    """While pausing and on the way to the next one."""


class Event(NamedTuple):
    """Something that is in force for a while."""

    what: str
    from_s: float
    to_s: float
    """The first moment at which it is over; infinite for never."""


class Manner(NamedTuple):
    """How the receiver says things."""

    systems: str = "GREC"
    """Letters of those that it tells of, SBAS with GPS."""
    minute_decimals: int = 5
    """Of coordinates: 4 to 7; 5 are 2 cm. With more than 5, heights and errors have millimetres too."""
    sky_every_s: int = 1
    """Seconds between two accounts of the satellites in view; never more than one a second."""
