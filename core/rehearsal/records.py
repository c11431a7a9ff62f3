"""What goes into the simulated receiver, and what comes out of it, once an epoch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from core.fix import FixMode, Heard, Position, PseudorangeNoise, Utc
from core.rehearsal.look import Surroundings
from core.rehearsal.ranging import BUDGETS, ErrorBudget
from core.rehearsal.tracking import Start

EVENTS = frozenset({"outage", "interference", "sbas_off", "rtk", "rollover"})
"""What can be in force. outage: no signal at all (a tunnel, a hand over the antenna). interference: all signals fall
together. sbas_off: no SBAS signal. rtk: corrections of a base station arrive. rollover: the date shown is 1024 weeks
early."""


class Truth(NamedTuple):
    """Where the antenna really is, and what is around it."""

    position: Position
    height_m: float
    """Above the ellipsoid."""
    geoid_separation_m: float
    """Height of the geoid above the ellipsoid."""
    speed_mps: float
    course_deg: float
    """Direction of movement, from true north."""
    surroundings: Surroundings
    events: frozenset[str] = frozenset()
    """Of `EVENTS`, those in force; others are not looked at."""


@dataclass(frozen=True, slots=True)
class ReceiverConfig:
    """What kind of receiver it is, and how it starts."""

    systems: str = "GREC"
    """Letters of those that it receives, SBAS aside."""
    start: Start = Start.COLD
    sbas: bool = True
    mask_deg: float = 5.0
    """Satellites below are tracked but not used (common practice: 5 to 15 degrees)."""
    antenna_db: float = 0.0
    """Loss against a good patch antenna; 3 to 8 for a small one in a case (common practice, no source)."""
    interference_db: float = 22.0
    """How far all signals fall under interference: a strong one then reads like one in shade."""
    rollovers: int = 0
    """How many times 1024 weeks its date is early. The event `rollover` makes it one at least."""
    smoothing_s: float = 2.0
    """Time constant of the position filter, 0 for none; receivers carry the position on by Doppler in between."""
    first_in_3d: bool = True
    """Whether a cold receiver waits for three dimensions; else it may begin with two, holding mean sea level as its
    height: which is wrong by hundreds of metres on a hill, and so is the position."""
    base_station: str = "0101"
    """Of RTK corrections, invented; 0000 to 1023."""
    budgets: Mapping[FixMode, ErrorBudget] = field(default_factory=lambda: BUDGETS)
    """Of its ranges, by mode; without a mode's row it keeps the errors that it had."""


class Epoch(NamedTuple):
    """What the receiver knows, and would say, at one instant. None = it does not know."""

    utc: Utc | None
    """Its day None while only the time of day is known."""
    position: Position | None
    height_m: float | None = None
    """Above the ellipsoid; in two dimensions the one that was held."""
    geoid_separation_m: float | None = None
    speed_mps: float | None = None
    """Over ground, filtered."""
    course_deg: float | None = None
    """None below the speed at which it is frozen: receivers leave frozen courses out."""
    mode: FixMode = FixMode.NONE
    dimensions: int | None = None
    """2 or 3; None without a position."""
    used: tuple[str, ...] = ()
    """RINEX names, by system then number."""
    seen: tuple[Heard, ...] = ()
    """Those listed as in view, by system then number; C/N0 None when not tracked."""
    hdop: float | None = None
    pdop: float | None = None
    vdop: float | None = None
    tdop: float | None = None
    noise: PseudorangeNoise | None = None
    """Error statistics, one sigma, as the receiver believes them; walls and reflections are unknown to it."""
    correction_age_s: float | None = None
    """Seconds since the last correction; None in autonomous mode."""
    correction_station: str | None = None
    """Of RTK only."""

    @property
    def valid(self) -> bool:
        """Whether there is a position that may be used."""
        return self.position is not None
