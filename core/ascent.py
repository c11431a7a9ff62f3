"""Ascent and descent, as a range: heights of a receiver are off by metres, and whoever sums them climbs on the flat.

Two sums by turning points (a climb is over once the height has fallen from its top by the threshold, and the other
way round), after light smoothing. trade-facts.md g (calc) has what other ways give: on the flat, noise of 3 m makes
1102 m of ascent in two hours when summed, 66 m with turning points at 10 m, 6 m at 15 m; a climb of 500 m then is 497.

- The lower end: turning points at 10 m, of which a climb counts once it is 20 m high. So a walk on the flat has 0 here
  (slow errors of 3 m, one sigma, seldom make 20 m in hours), and so have hills of less than 20 m: they may be noise.
- The upper end: turning points at 5 m. Slow errors of 3 m do reach it: an hour on the flat may have it at some tens of
  metres, and nothing in the heights alone could tell them from knolls.
- Each climb of 20 m or more counts 5 m less in the one and 5 m more in the other, and the whole once more: that is what
  the heights of its two ends may be off by.
"""

from __future__ import annotations

from typing import NamedTuple

LOW_TURN_M, HIGH_TURN_M = 10.0, 5.0
"""About two to three times the noise of heights (trade-facts.md g)."""
CLIMB_M = 20.0
ENDS_M = 5.0
"""The difference of two heights of 3 m, one sigma, is off by 4.2 m, one sigma (calc)."""
SMOOTH_S = 15.0
"""Time constant: white noise of 3 m becomes 0.6 m at 1 Hz (calc); the sum is 2.5 m behind at 600 m of climb an hour."""
LEAP_M, LEAP_MPS = 20.0, 15.0
"""A step of height beyond the first and so many metres a second is no climb but a new solution: nothing counts across
it (common practice, no source)."""


class Climbed(NamedTuple):
    """Sums so far, metres. None of them ever falls."""

    low_up: float = 0.0
    high_up: float = 0.0
    low_down: float = 0.0
    high_down: float = 0.0
    known: bool = False
    """Whether any height has come."""


NOTHING_CLIMBED = Climbed()


def ranges(climbed: Climbed, since: Climbed = NOTHING_CLIMBED) -> tuple[tuple[float, float], tuple[float, float]]:
    """Ascent and descent between two sums, each as the range in which it lies; (0, 0) where nothing turned by 5 m."""
    return (
        _range(climbed.low_up - since.low_up, climbed.high_up - since.high_up),
        _range(climbed.low_down - since.low_down, climbed.high_down - since.high_down),
    )


def _range(low_m: float, high_m: float) -> tuple[float, float]:
    if high_m <= 0.0:
        return 0.0, 0.0
    return max(0.0, min(low_m - ENDS_M, high_m)), high_m + ENDS_M


class Climb:
    """Takes the heights of joined samples, in their order."""

    def __init__(self, climbed: Climbed = NOTHING_CLIMBED) -> None:
        """`climbed`: sums to go on from."""
        self._low = _Turns(LOW_TURN_M, CLIMB_M, -ENDS_M)
        self._high = _Turns(HIGH_TURN_M, HIGH_TURN_M, ENDS_M)
        self._low.up, self._high.up, self._low.down, self._high.down, self.known = climbed
        self._raw_m: float | None = None
        self._smooth_m = self._seconds = self._waited_s = 0.0

    def begin(self) -> None:
        """After a break: nothing is climbed from the height before."""
        self._raw_m = None
        self._seconds = self._waited_s = 0.0
        self._low.begin()
        self._high.begin()

    def take(self, height_m: float | None, seconds: float) -> None:
        """The height at a sample, and the time since the sample before. None is passed over."""
        self._waited_s += seconds
        if height_m is None:
            return
        waited_s, self._waited_s = self._waited_s, 0.0
        if self._raw_m is None or abs(height_m - self._raw_m) > LEAP_M + LEAP_MPS * waited_s:
            self._begin_at(height_m)
            return
        self._raw_m = height_m
        self._seconds += waited_s
        # The mean of all at first, so that the first height, as noisy as any, does not stand for long.
        share = waited_s / (min(self._seconds, SMOOTH_S) + waited_s)
        self._smooth_m += (height_m - self._smooth_m) * share
        if self._seconds >= SMOOTH_S:
            self._low.take(self._smooth_m)
            self._high.take(self._smooth_m)

    def _begin_at(self, height_m: float) -> None:
        self.begin()
        self._raw_m = self._smooth_m = height_m
        self.known = True

    def climbed(self) -> Climbed:
        """The sums now."""
        return Climbed(self._low.up, self._high.up, self._low.down, self._high.down, self.known)


class _Turns:
    """Climbs and descents between turning points. Both sums grow with the climb under way, and never fall."""

    def __init__(self, turn_m: float, least_m: float, more_m: float) -> None:
        """A climb of `least_m` counts as it is, one of `CLIMB_M` `more_m` more."""
        self._turn_m, self._least_m, self._more_m = turn_m, least_m, more_m
        self.up = self.down = 0.0
        self.begin()

    def begin(self) -> None:
        """Direction and height are unknown."""
        self._way = 0
        self._low_m, self._high_m = float("inf"), float("-inf")

    def take(self, m: float) -> None:
        """The next height."""
        if self._way >= 0 and m > self._high_m:
            self._rise_to(m)
        if self._way <= 0 and m < self._low_m:
            self._fall_to(m)
        if self._way >= 0 and self._high_m - m >= self._turn_m:
            self._way = -1
            self._low_m = self._high_m
            self._fall_to(m)
        elif self._way <= 0 and m - self._low_m >= self._turn_m:
            self._way = 1
            self._high_m = self._low_m
            self._rise_to(m)

    def _rise_to(self, m: float) -> None:
        if self._way > 0:
            self.up += self._counted(m - self._low_m) - self._counted(self._high_m - self._low_m)
        self._high_m = m

    def _fall_to(self, m: float) -> None:
        if self._way < 0:
            self.down += self._counted(self._high_m - m) - self._counted(self._high_m - self._low_m)
        self._low_m = m

    def _counted(self, climb_m: float) -> float:
        if climb_m < self._least_m:
            return 0.0
        return climb_m + self._more_m if climb_m >= CLIMB_M else climb_m
