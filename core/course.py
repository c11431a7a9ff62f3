"""Whether a course over ground means anything at this speed.

A single antenna knows where it moved, not where it points; standing still, the course wanders at random. With
0.1 m/s of velocity noise an axis, 95 % of courses lie within 11 degrees at 1.0 m/s, 23 at 0.5 and 41 at 0.3
(trade-facts.md b, computed there). The thresholds follow from that; the hysteresis keeps the needle from flickering.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import NamedTuple


class CourseTrust(Enum):
    """How far a course can be relied on."""

    NONE = "none"
    """Too slow: no course."""
    UNSURE = "unsure"
    """Between: shown grey."""
    SURE = "sure"


class Gate(NamedTuple):
    """Speeds in m/s at which a state is entered and left."""

    enter_mps: float
    leave_mps: float


SURE = Gate(1.0, 0.8)
SEEN = Gate(0.5, 0.4)


def course_trust(speed_mps: float | None, before: CourseTrust = CourseTrust.NONE) -> CourseTrust:
    """The state after an epoch with this speed, coming from `before`. Without a speed there is no course."""
    if speed_mps is None:
        return CourseTrust.NONE
    if speed_mps >= (SURE.leave_mps if before is CourseTrust.SURE else SURE.enter_mps):
        return CourseTrust.SURE
    if speed_mps >= (SEEN.enter_mps if before is CourseTrust.NONE else SEEN.leave_mps):
        return CourseTrust.UNSURE
    return CourseTrust.NONE


def trust_after(speeds_mps: Iterable[float | None], before: CourseTrust) -> CourseTrust:
    """After all of these, so that no step of the hysteresis is missed; epochs without a speed wait."""
    trust = before
    for speed_mps in speeds_mps:
        if speed_mps is not None:
            trust = course_trust(speed_mps, trust)
    return trust
