"""Moving or standing, and how far: by net displacement, so that standing adds nothing however the position wanders.

A receiver at rest wanders by metres within minutes; whoever sums its steps walks 600 to 1800 m an hour without moving
(trade-facts.md g, calc). What tells a walk from wandering is how fast it gets away from where it was. So:

- From standing to moving: at least `FAST_M` away, net, from where it was `FAST_S` ago, or `SLOW_M` from where it was
  `SLOW_S` ago. Then the way from there counts at once, so that nothing is lost by waiting.
- From moving to standing: less than `STILL_MPS` net over `STILL_S`.
- While moving, distance is summed over chords of `CHORD_M`: shorter ones sum jitter, longer ones cut corners. Each
  counts as far as the receiver's own speed allows (`core.told_way`): between houses positions wander faster than that.

The gate is not tied to the 95 % error: that says how far off a position is, while only what its error changes by within
a minute looks like walking.
"""

from __future__ import annotations

import math
from collections import deque

from core.evidence import JUMP_SPEED_FACTOR
from core.samples import Sample
from core.told_way import ToldWay

FAST_S, FAST_M = 10.0, 10.0
SLOW_S, SLOW_M = 60.0, 18.0
"""Above what wandering does: of one sigma 3 m, correlated over one minute, and 0.3 m white, it changes by 1.7 m an axis
in 10 s and by 3.4 m in 60 s (one sigma); the gates are more than five times that, which chance exceeds less than once
in a million looks (calc); simulated, no hour of such standing in 150 did. A walk at 1.4 m/s is through the first in
8 s; down to 0.3 m/s it is through the second within the minute."""
STILL_S, STILL_MPS = 10.0, 0.2
"""A window of 5 to 10 s is common practice (trade-facts.md g); a fifth of a metre a second is slower than any walk."""
CHORD_M, DETOUR_M = 8.0, 3.0
"""Measured on simulated walks at 1.4 m/s: jitter (2.5 m correlated over five minutes, and 0.3 m white, one sigma)
lengthens a straight line by 0.2 % with chords of 8 m, by 0.4 % with 5 m. A corner is counted where going by it is
longer than straight on by the second figure, which jitter seldom makes; so a right-angled corner costs 1.7 m, a turn
back 1 m."""
MOST_IN_CHORD = 60
"""Who goes round within a room never gets a chord away: what lies between is counted once a minute."""
LEAP_M = 6.0
"""A step longer by this than one and a half times the speed explains (factor as for jumps, `core.evidence`) is no way,
but the position coming right, or going wrong: it is not counted (common practice, no source). 30 m break the track."""
LEFT_M = 2.0
"""Who is this far from the place of rest has left it: until then time belongs to the rest."""


class Motion:
    """Sums way and time over samples that are joined to one another. Constant memory, constant time a sample."""

    def __init__(self) -> None:
        self.distance_m = self.moving_s = self.stopped_s = 0.0
        """Net of what wandering makes; the times together are all of the time between joined samples. When it is
        found out that standing has ended or begun, the last seconds are counted over from one time to the other."""
        self.moving = False
        self._recent: deque[Sample] = deque()
        self._older: deque[Sample] = deque()
        self._chord: list[Sample] = []
        self._newest: Sample | None = None
        self._pace_mps = 0.0
        self._settled = (0.0, 0.0)
        self._told = ToldWay()

    def begin(self, sample: Sample) -> None:
        """The first sample after a break: nothing counts from the one before."""
        self.close()
        self._newest = sample
        self._rest_at(sample)

    def go_on(self, sample: Sample) -> None:
        """A sample joined to the last."""
        if self._newest is None:
            self.begin(sample)
            return
        seconds = sample.at_s - self._newest.at_s
        if _leapt(self._newest, sample, seconds):
            self._leap(sample)
        self._newest = sample
        _slide(self._recent, sample, FAST_S)
        if self.moving:
            self.moving_s += seconds
            self._walk(sample)
        else:
            self.stopped_s += seconds
            _slide(self._older, sample, SLOW_S)
            self._look_for_start(sample)

    def settle(self) -> None:
        """From here on no time before this is counted over: a leg begins."""
        self._settled = (self.moving_s, self.stopped_s)

    def close(self) -> None:
        """Add what is left of the last chord: the way ends here, or breaks."""
        if self.moving and self._newest is not None:
            self._close_chord(self._newest)

    def _leap(self, sample: Sample) -> None:
        """Goes on from there as before, standing or moving: what came before says nothing of the way after."""
        was_moving, pace_mps = self.moving, self._pace_mps
        self.close()
        self._rest_at(sample)
        if was_moving:
            self.moving, self._pace_mps, self._chord = True, pace_mps, []

    def _walk(self, sample: Sample) -> None:
        self._chord.append(sample)
        if math.dist(self._chord[0].xyz, sample.xyz) >= CHORD_M or len(self._chord) > MOST_IN_CHORD:
            way_m = self._told.bounded(_way_m(self._chord), self._chord)
            self.distance_m += way_m
            self._pace_mps = way_m / (sample.at_s - self._chord[0].at_s)
            self._chord = [sample]
        if self._stands(sample):
            self._close_chord(sample)
            self._rest_at(sample)

    def _stands(self, sample: Sample) -> bool:
        """By net displacement over the window; one that is not full yet says nothing."""
        first = self._recent[0]
        seconds = sample.at_s - first.at_s
        return seconds >= STILL_S - 1.0 and math.dist(first.xyz, sample.xyz) < STILL_MPS * seconds

    def _close_chord(self, end: Sample) -> None:
        """The way ends here. Since when one stands follows from what is left of it, at the pace of the chord before."""
        left_m = self._told.bounded(_way_m(self._chord), self._chord)
        self.distance_m += left_m
        still_s = end.at_s - self._chord[0].at_s - left_m / self._pace_mps
        still_s = max(0.0, min(still_s, self.moving_s - self._settled[0]))
        self.moving_s -= still_s
        self.stopped_s += still_s
        self._chord = [end]

    def _rest_at(self, sample: Sample) -> None:
        self.moving = False
        self._recent.clear()
        self._older.clear()
        self._recent.append(sample)
        self._older.append(sample)

    def _look_for_start(self, sample: Sample) -> None:
        for window, gate_m in ((self._recent, FAST_M), (self._older, SLOW_M)):
            away_m = math.dist(window[0].xyz, sample.xyz)
            needed_m = gate_m if sample.at_s - window[0].at_s <= FAST_S + 1.0 else SLOW_M
            if away_m >= needed_m:
                self._start(window, sample, away_m)
                return

    def _start(self, window: deque[Sample], sample: Sample, away_m: float) -> None:
        """Moves, and has done so since it was last near the place of rest."""
        rest = window[0]
        left = next((one for one in reversed(window) if math.dist(rest.xyz, one.xyz) < LEFT_M), rest)
        walked_s = sample.at_s - left.at_s
        away_m = self._told.bounded(away_m, window)
        counted_s = max(0.0, min(walked_s, self.stopped_s - self._settled[1]))
        self.stopped_s -= counted_s
        self.moving_s += counted_s
        self.distance_m += away_m
        self._pace_mps = away_m / walked_s
        self.moving, self._chord = True, [sample]


def _leapt(before: Sample, sample: Sample, seconds: float) -> bool:
    """Where the receiver tells no speed, it was worked out from the step itself, which then is explained."""
    mps = max(before.speed_mps or 0.0, sample.speed_mps or 0.0)
    return math.dist(before.xyz, sample.xyz) > LEAP_M + JUMP_SPEED_FACTOR * mps * seconds


def _way_m(chord: list[Sample]) -> float:
    """Its length; where a corner lies between its ends, by way of that corner."""
    start, end = chord[0].xyz, chord[-1].xyz
    straight_m = math.dist(start, end)
    if len(chord) < 3:
        return straight_m
    corner_m = max(math.dist(start, one.xyz) + math.dist(one.xyz, end) for one in chord[1:-1])
    return corner_m if corner_m - straight_m > DETOUR_M else straight_m


def _slide(window: deque[Sample], sample: Sample, seconds: float) -> None:
    """On by one sample; what is older than so many seconds goes, but the one before always stays."""
    window.append(sample)
    since_s = sample.at_s - seconds
    while window[0].at_s < since_s and len(window) > 2:
        window.popleft()
