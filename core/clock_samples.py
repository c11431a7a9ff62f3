"""The minimum filter: of many delays the smallest says most.

A sample is arrival minus stamped second, both seconds of a day, the arrival on a clock that nobody sets. With o the
distance of that clock from UTC and v the delay, each sample is o + v, and v >= 0. So the smallest sample bounds o from
above, whatever the delays; and from below by the longest that the *smallest* delay may be (core.latency). Clocks run at
different rates, so a sample that is a minute old is worth a little less: `RATE` times its age is given away.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from itertools import pairwise
from math import inf
from typing import NamedTuple

DAY_S = 86_400.0
WINDOW_S = 90.0
"""How far back samples count."""
NEEDED_S, NEEDED = 60.0, 12
"""Watched for at least this long, and so many samples, before the smallest is taken for a good one (trade-facts, h)."""
RATE = 500e-6
"""Two clocks drift apart by no more: the kernel's limit for a time daemon's slewing; a crystal stays within a fifth of
it (adjtimex, from memory)."""
STEP_S = 0.5
"""A smallest delay that changes by more at once is no delay: a clock was set, or a leap second came (no source)."""
RECENT_S, RECENT = 10.0, 5
"""After so long, and so many samples, without a delay as small as before, that is believed of a change upwards."""
LOOK_EVERY_S = 1.0
GROWTH_S = 0.08
"""By more than this the smallest delay of a third of the window never grows by `RATE` alone, 0.03 s in 60."""
FULL, NOMINAL = 0.95, 1.02
"""Share of what a line carries: from the first on it cannot catch up; beyond the second its speed is only a name."""
NO_PAUSE = 0.05
"""Of a period. A line that is silent for less never rests (common practice, no source)."""
UNEVEN_S, UNEVEN_STEPS, UNEVEN_SHARE = 0.02, 3, 0.05
"""Steps that differ by more from the usual one, and how many may: a lost fix or a damaged sentence is no lost line."""
BITS = 10
"""On the line for each byte: start, eight, stop."""


class Delay(NamedTuple):
    """One second that was named. Seconds."""

    at_s: float
    """When, on the clock of the arrivals."""
    sentence_s: float
    """Arrival of its sentence minus the second: both within a day of each other, unwrapped from sample to sample."""
    burst_s: float
    """The same of the first byte of its burst: never more."""
    size: int
    pause_s: float | None


class Bounds(NamedTuple):
    """Of the arrivals' clock minus UTC, modulo a day."""

    least_burst_s: float
    """Smallest delay of the first byte, given its age downwards: bounds from below, less the longest latency."""
    least_sentence_s: float
    """The same of the sentence."""
    most_s: float
    """Smallest delay of the sentence, given its age upwards: the clock is ahead by no more."""


class DelayWindow:
    """The samples of the last minute and a half."""

    def __init__(self) -> None:
        self._delays: deque[Delay] = deque()
        self._smallest_s: float | None = None
        """Of the sentences' delays; None: not looked for since the one that it was has gone."""
        self._looked_s = -inf

    def __len__(self) -> int:
        return len(self._delays)

    def add(self, delay: Delay) -> float | None:
        """Take a sample; by how much the clocks were set against each other, where it shows that they were."""
        delay = self._unwrapped(delay)
        step_s = self._fall(delay)
        if step_s is None and self._delays and delay.at_s < self._delays[-1].at_s:
            if self._delays[-1].at_s - delay.at_s <= WINDOW_S:
                return None  # its epoch was finished late, as damaged times make it: all else goes by their order
            self.restart()
        if step_s is not None:
            self.restart()
        self._append(delay)
        if step_s is not None or delay.at_s < self._looked_s + LOOK_EVERY_S:
            return step_s
        self._looked_s = delay.at_s
        return self._rise()

    def _append(self, delay: Delay) -> None:
        """And forget those that are too old; ten times a second, so nine hundred are not gone through for it."""
        self._smallest_s = min(self._smallest(delay.sentence_s), delay.sentence_s)
        self._delays.append(delay)
        while self._delays[0].at_s < delay.at_s - WINDOW_S:
            if self._delays.popleft().sentence_s <= self._smallest_s:
                self._smallest_s = _least(self._delays)

    def _smallest(self, without: float) -> float:
        """`without`: what it is where there is none."""
        if self._smallest_s is None:
            self._smallest_s = _least(self._delays) if self._delays else without
        return self._smallest_s

    def restart(self) -> None:
        """Nothing so far counts."""
        self._delays.clear()
        self._smallest_s = None
        self._looked_s = -inf

    @property
    def watched_s(self) -> float:
        """How long the filter has been fed without a restart, as far as it remembers."""
        return self._delays[-1].at_s - self._delays[0].at_s if self._delays else 0.0

    @property
    def ready(self) -> bool:
        """Whether the smallest delay may be taken for a good one."""
        return self.watched_s >= NEEDED_S and len(self) >= NEEDED

    def bounds(self) -> Bounds:
        """As of the newest sample, of which there must be one."""
        now_s, delays = self._delays[-1].at_s, self._delays
        return Bounds(
            min(one.burst_s - RATE * (now_s - one.at_s) for one in delays),
            min(one.sentence_s - RATE * (now_s - one.at_s) for one in delays),
            min(one.sentence_s + RATE * (now_s - one.at_s) for one in delays),
        )

    def spread(self) -> tuple[float, float, float]:
        """Median of the sentences' delays, and what a tenth of them is below and above of; there must be one."""
        from statistics import median

        ordered = sorted(one.sentence_s for one in self._delays)
        tenth = len(ordered) // 10
        return median(ordered), ordered[tenth], ordered[-1 - tenth]

    def trouble(self, baud: int | None) -> str:
        """Why the smallest delay is none of a quick answer: the line cannot keep up; empty where nothing shows it."""
        from statistics import median

        if len(self) < NEEDED:
            return ""
        load, steps = self.load(baud), self._steps()
        period_s = median(steps)
        if load is not None and FULL <= load <= NOMINAL:
            return f"the sentences fill {load * 100:.0f} % of what {baud} baud carry: the line never catches up"
        if self._never_rests(period_s):
            return "the line never rests between bursts: it may not keep up with what the receiver sends"
        uneven = sum(1 for step in steps if abs(step - period_s) > UNEVEN_S)
        if uneven > max(UNEVEN_STEPS, len(steps) * UNEVEN_SHARE):
            return "the receiver names seconds at uneven steps: some are lost, as where a line does not keep up"
        grown_s = self._growth()
        if grown_s > GROWTH_S:
            return f"the delays grow, by {grown_s:.2f} s so far: the line does not keep up with what the receiver sends"
        return ""

    def _steps(self) -> list[float]:
        """Between two seconds that were named, as the receiver counts."""
        return [b.at_s - b.sentence_s - a.at_s + a.sentence_s for a, b in pairwise(self._delays)]

    def load(self, baud: int | None) -> float | None:
        """Share of the line's capacity that was used; None without a known speed."""
        if not baud or self.watched_s <= 0.0:
            return None
        return sum(one.size for one in list(self._delays)[1:]) * BITS / baud / self.watched_s

    def _unwrapped(self, delay: Delay) -> Delay:
        """Delays are known modulo a day: take the one nearest to those before, so that none jumps at midnight."""
        near = self._delays[-1].sentence_s if self._delays else 0.0
        turns = round((near - delay.sentence_s) / DAY_S) * DAY_S
        return delay._replace(sentence_s=delay.sentence_s + turns, burst_s=delay.burst_s + turns)

    def _fall(self, delay: Delay) -> float | None:
        """A new smallest delay, by far: no delay was ever too long by so much, all the time."""
        if not self._delays:
            return None
        step_s = delay.sentence_s - self._smallest(delay.sentence_s)
        return step_s if step_s < -STEP_S else None

    def _rise(self) -> float | None:
        """No delay as small as before for a while: what came before it counts no more."""
        delays = list(self._delays)
        end_s = delays[-1].at_s
        count = max(RECENT, sum(1 for one in delays if one.at_s > end_s - RECENT_S))
        before, recent = delays[:-count], delays[-count:]
        step_s = _least(recent) - _least(before) if before else 0.0
        if step_s <= STEP_S:
            return None
        self._delays, self._smallest_s = deque(recent), None
        return step_s

    def _never_rests(self, period_s: float) -> bool:
        from statistics import median

        pauses = [one.pause_s for one in self._delays if one.pause_s is not None]
        return len(pauses) > len(self) // 2 and median(pauses) < NO_PAUSE * period_s

    def _growth(self) -> float:
        """From the first third of the window over the second to the last, where it grows all the way; else 0."""
        third_s = self.watched_s / 3
        if third_s < RECENT_S:
            return 0.0
        begin_s = self._delays[0].at_s
        thirds: list[list[Delay]] = [[], [], []]
        for one in self._delays:
            thirds[min(2, int((one.at_s - begin_s) / third_s))].append(one)
        if min(map(len, thirds)) < RECENT:
            return 0.0
        first, second, last = map(_least, thirds)
        return last - first if first < second < last else 0.0


def _least(delays: Iterable[Delay]) -> float:
    return min(one.sentence_s for one in delays)
