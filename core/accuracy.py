"""From what a receiver reports to metres: the 95 % error of a position, always an estimate.

Two ways, and it is always said which: the receiver's own error statistics (GST) where it sends them, else dilution of
precision times a ranging error that is assumed for the mode. Neither knows of reflections that bend all satellites
the same way, of a wrong datum, or of interference.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass, field, replace
from itertools import accumulate

from core.fix import Fix, FixMode, PseudorangeNoise

R95_OVER_DRMS = 1.730818
"""Circular normal errors: 95 % lie within this many DRMS (accuracy.toml; FGDC-STD-007.3-1998 has 1.7308)."""
P95_OVER_SIGMA = 1.959964
"""Normal errors in one dimension: 95 % lie within this many sigma (accuracy.toml)."""
VERTICAL_OVER_HORIZONTAL = 1.6
"""Where no VDOP is reported. 13 m over 8 m are the global averages of the GPS SPS Performance Standard of 2020 (from
memory, not re-read); trade-facts.md c gives 1.5 to 2."""
_R95_BY_RATIO = (
    *(1.9600, 1.9606, 1.9625, 1.9658, 1.9704, 1.9765, 1.9842, 1.9937, 2.0051, 2.0190),
    *(2.0359, 2.0564, 2.0813, 2.1111, 2.1460, 2.1858, 2.2303, 2.2791, 2.3318, 2.3881, 2.4477),
)
"""Radius that holds 95 % of normal errors, in units of the larger sigma; the smaller is 0.00, 0.05 ... 1.00 of it.
Worked out by integrating the normal law; the test does it again."""

RANGING_ERROR_M = {
    FixMode.AUTONOMOUS: 4.0,
    FixMode.DIFFERENTIAL: 1.2,
    FixMode.PRECISE: 2.0,
    FixMode.RTK_FLOAT: 0.4,
    FixMode.RTK_FIXED: 0.02,
}
"""One sigma of a pseudorange, all errors together, by mode. Common practice, no source, chosen so that an open sky
gives the figures of trade-facts.md a: autonomous 7 m at HDOP 1 (phones 4.9 m radius in the open), SBAS 2 m, float
decimetres, fixed centimetres. The user may set others. Modes that are not here have no error that could be known."""


@dataclass(frozen=True, slots=True)
class Error95:
    """The estimated 95 % error of one fix, metres."""

    horizontal_m: float | None = None
    vertical_m: float | None = None
    basis: str = ""
    """Where the figures come from, in words."""

    def as_json(self) -> dict[str, float | None]:
        """For contract.md's `error_95_m`."""
        return {
            "horizontal": None if self.horizontal_m is None else round(self.horizontal_m, 2),
            "vertical": None if self.vertical_m is None else round(self.vertical_m, 2),
        }


NO_ERROR = Error95()


@dataclass(frozen=True, slots=True)
class ErrorModel:
    """The assumptions, as the user has set them."""

    ranging_error_m: dict[FixMode, float] = field(default_factory=lambda: dict(RANGING_ERROR_M))

    def error_95(self, fix: Fix) -> Error95:
        """The estimate for one fix; empty where nothing can be said."""
        if fix.position is None or fix.mode not in self.ranging_error_m:
            return NO_ERROR
        own = _from_noise(fix.noise) if fix.noise else NO_ERROR
        found = own if own.horizontal_m is not None else self._from_dilution(fix)
        return replace(found, vertical_m=None) if fix.dimensions == 2 and found.vertical_m is not None else found

    def _from_dilution(self, fix: Fix) -> Error95:
        if fix.hdop is None:
            return NO_ERROR
        sigma_m = self.ranging_error_m[fix.mode]
        horizontal = R95_OVER_DRMS * fix.hdop * sigma_m
        basis = f"HDOP x {sigma_m:g} m assumed"
        if fix.vdop is not None:
            return Error95(horizontal, P95_OVER_SIGMA * fix.vdop * sigma_m, basis)
        if fix.dimensions == 2:  # the height is assumed: nothing is known of its error
            return Error95(horizontal, None, basis)
        vertical = VERTICAL_OVER_HORIZONTAL * horizontal
        return Error95(horizontal, vertical, f"{basis}, height x {VERTICAL_OVER_HORIZONTAL:g}")


def _from_noise(noise: PseudorangeNoise) -> Error95:
    """Zeros are how some receivers fill fields that they know nothing for."""
    for first, second in ((noise.semi_major_m, noise.semi_minor_m), (noise.latitude_m, noise.longitude_m)):
        if first is not None and second is not None and max(first, second) > 0.0:
            vertical = P95_OVER_SIGMA * noise.altitude_m if noise.altitude_m else None
            return Error95(r95(first, second), vertical, "the receiver's own statistics (GST)")
    return NO_ERROR


def r95(sigma_a: float, sigma_b: float) -> float:
    """Radius that holds 95 % of normal errors with these standard deviations along two axes at right angles."""
    larger, smaller = max(sigma_a, sigma_b), min(sigma_a, sigma_b)
    if larger <= 0.0:
        return 0.0
    step = (len(_R95_BY_RATIO) - 1) * smaller / larger
    left = min(int(step), len(_R95_BY_RATIO) - 2)
    low, high = _R95_BY_RATIO[left], _R95_BY_RATIO[left + 1]
    return larger * (low + (high - low) * (step - left))


def median(values: list[float]) -> float | None:
    """The middle one; None of none."""
    ordered = sorted(values)
    middle = len(ordered) // 2
    if not ordered:
        return None
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2


class RunningMedian:
    """A median of many lengths in constant memory: counted in bins one per cent wide, so right to one per cent."""

    RATIO = 1.01
    SMALLEST = 0.001

    def __init__(self) -> None:
        self._edges = [self.SMALLEST * self.RATIO**n for n in range(1800)]
        self._counts = [0] * (len(self._edges) + 1)
        self.count = 0
        self.largest: float | None = None

    def add(self, value: float) -> None:
        """Count one, zero or more."""
        self._counts[bisect_left(self._edges, value)] += 1
        self.count += 1
        self.largest = value if self.largest is None else max(self.largest, value)

    @property
    def median(self) -> float | None:
        """The middle one, or midway between the middle two, within one per cent; None of none."""
        return (self._at(self.count // 2 + 1) + self._at((self.count + 1) // 2)) / 2 if self.count else None

    def _at(self, rank: int) -> float:
        """The value that has this rank, 1 for the smallest."""
        number = bisect_left(list(accumulate(self._counts)), rank)
        return self.SMALLEST * self.RATIO ** (number - 0.5) if number else 0.0


def ground_radius_ratio(horizontal_m: float, other_m: float) -> float:
    """Two independent 95 % radii together, metres."""
    return math.hypot(horizontal_m, other_m)
