"""The satellite fixes that go-to guidance counts: one a second, each joined to the one before or not.

Time between them is the receiver's own where it tells it, since that is what the positions belong to: a line that
stalls and then delivers five epochs at once must not look like a sprint. The arrival clock serves where it tells none.
A gap by either clock is a gap.
"""

from __future__ import annotations

import math
from enum import Enum
from typing import NamedTuple

from core.evidence import FASTEST_BY_GUESS_MPS, JUMP_SLACK_M, JUMP_SPEED_FACTOR
from core.fix import MS_PER_DAY, Fix, Position, ms_to
from core.places.geodesic import FLATTENING, SEMI_MAJOR_M

LEAST_STEP_S = 0.95
"""Fixes sooner after the last sample are passed over: 10 Hz costs what 1 Hz does. A little under the second, since
arrivals at 1 Hz are not quite a second apart."""
LONGEST_GAP_S = 10.0
"""Silence longer than this is not bridged (common practice, no source)."""
LONGEST_LOSS_S = 5.0
"""The same where the receiver said void, or estimated, meanwhile."""
BACK_S = 1.0
"""Time going back by more is a clock set, or a receiver restarted; by less, a sentence out of turn."""
_E2 = FLATTENING * (2 - FLATTENING)

Epoch = tuple[Fix, float, float | None]
"""A fix, its arrival in seconds on the source's clock, and its 95 % error in metres where known."""
Xyz = tuple[float, float, float]


class Sample(NamedTuple):
    """A satellite fix that counts."""

    at_s: float
    """On a clock of its own: only differences mean anything, and only between samples that are joined."""
    arrived_s: float
    time_ms: int | None
    """The receiver's time of day."""
    position: Position
    xyz: Xyz
    """The same place, metres from the Earth's centre: no pole and no antimeridian are in the way there."""
    speed_mps: float | None
    """As reported, else from this sample and the last."""
    error_95_m: float | None
    told_mps: float | None = None
    """The speed as reported, and nothing else."""


class Joint(Enum):
    """How a sample follows the one before."""

    TOO_SOON = "too soon"
    """Within the second: passed over."""
    GOES_ON = "goes on"
    APART = "apart"
    """The first, or after a gap: nothing is known of the way between."""
    BROKEN = "broken"
    """A jump, or time going back: the one before may have been wrong."""


def join(before: Sample | None, epoch: Epoch, longest_gap_s: float = LONGEST_GAP_S) -> tuple[Sample, Joint]:
    """The sample made of a satellite fix, and how it follows the one before. The fix must have a position."""
    fix, arrived_s, error_95_m = epoch
    position = fix.position or Position(math.nan, math.nan)
    time_ms = fix.utc.time_ms if fix.utc else None
    xyz, speed_mps = earth_centred(position), fix.speed_mps
    new = Sample(arrived_s, arrived_s, time_ms, position, xyz, speed_mps, _known(error_95_m), speed_mps)
    if before is None:
        return new, Joint.APART
    step_s = elapsed_s(before, fix, arrived_s)
    new = new._replace(at_s=before.at_s + step_s)
    joint = _joint(before, new, step_s, longest_gap_s)
    return _with_speed(before, new) if joint is Joint.GOES_ON else new, joint


def elapsed_s(before: Sample, fix: Fix, arrived_s: float) -> float:
    """Seconds since a sample; negative where time went back. The longer where the two clocks differ beyond a gap."""
    arrival_s = arrived_s - before.arrived_s
    stepped_s = _stepped_s(before, fix)
    if stepped_s is None or stepped_s == 0.0 or abs(arrival_s) > LONGEST_GAP_S:  # 0: a clock that does not run
        return arrival_s
    return min(arrival_s, stepped_s) if arrival_s < 0.0 else stepped_s


def _stepped_s(before: Sample, fix: Fix) -> float | None:
    """By the receiver's clock, over midnight too: what looks like more than half a day is a step back."""
    if fix.utc is None or before.time_ms is None:
        return None
    step_ms = ms_to(before.time_ms, fix.utc.time_ms)
    return (step_ms if step_ms < MS_PER_DAY // 2 else step_ms - MS_PER_DAY) / 1000


def _joint(before: Sample, new: Sample, step_s: float, longest_gap_s: float) -> Joint:
    if step_s < -BACK_S or new.arrived_s < before.arrived_s:
        return Joint.BROKEN
    if step_s < LEAST_STEP_S:
        return Joint.TOO_SOON
    if step_s > longest_gap_s:
        return Joint.APART
    return Joint.BROKEN if _jumped(before, new, step_s) else Joint.GOES_ON


def _jumped(before: Sample, new: Sample, step_s: float) -> bool:
    """Farther than speed, time and error explain; figures and reasons as for the verdict (`core.evidence`)."""
    known = [speed for speed in (before.speed_mps, new.speed_mps) if speed is not None]
    explained_m = JUMP_SPEED_FACTOR * max(known, default=FASTEST_BY_GUESS_MPS) * step_s
    return math.dist(before.xyz, new.xyz) > explained_m + JUMP_SLACK_M + 2 * (new.error_95_m or 0.0)


def _with_speed(before: Sample, new: Sample) -> Sample:
    if new.speed_mps is not None:
        return new
    return new._replace(speed_mps=math.dist(before.xyz, new.xyz) / (new.at_s - before.at_s))


def _known(error_m: float | None) -> float | None:
    """Figures that are no error are unknown ones."""
    return error_m if error_m is not None and 0.0 <= error_m < math.inf else None


def earth_centred(position: Position) -> Xyz:
    """Cartesian metres of a point on the WGS 84 ellipsoid (textbook). Over 1 km the chord is 1 micrometre short."""
    latitude, longitude = math.radians(position.latitude_deg), math.radians(position.longitude_deg)
    sine, cosine = math.sin(latitude), math.cos(latitude)
    prime_vertical_m = SEMI_MAJOR_M / math.sqrt(1 - _E2 * sine * sine)
    across_m = prime_vertical_m * cosine
    return (across_m * math.cos(longitude), across_m * math.sin(longitude), prime_vertical_m * (1 - _E2) * sine)
