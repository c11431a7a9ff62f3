"""The computer's clock against the satellites': bounds, not a bare number.

The filter runs on a clock that nobody sets (the source's monotonic one); what the computer's clock says is looked up
beside it at each second that is named. So a clock that is set in mid-session changes the offset at once and exactly,
and costs the filter nothing. In a recording both are the host's times beside the sentences; then a set clock shows as a
step of the delays, and the filter begins anew.

Assumed, and not to be seen from here: that the receiver does not name the previous second (all would be late by one),
and that computer and receiver are not wrong by the same.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf
from typing import NamedTuple

from core.burst import ZDA, BurstReader, StampedSecond
from core.clock_guards import ColdStart, Days, Guard, compare_days, leap_guard, zone_guard
from core.clock_report import NOTHING_YET, ClockReport, Doubts, Jump, Offsets, concluded
from core.clock_samples import DAY_S, NEEDED, NEEDED_S, Delay, DelayWindow
from core.fix import MS_PER_DAY, Fix, Utc
from core.latency import ASSUMED, RELAYED, Basis, Latency, Learned, LineName, ReceiverKey, nothing_learned

JUMP_S = 0.1
"""The computer's clock was set, or the computer slept; slewing never does this from one second to the next."""
JUMPS_KEPT = 5
WAITING = 100
"""Seconds whose epoch is not finished yet: two are open at a time, and as many as may come in one block besides."""
TOLD_EVERY_S = 0.5
"""A receiver that names ten seconds' tenths a second changes no bounds between two of them."""
WORTH_SERIAL = (
    "the first byte after a silence is read at once; USB adapters hold it back for up to 16 ms, some for 125 ms: "
    "that only makes a delay longer"
)
WORTH_RELAYED = (
    "another program hands the bytes on, its delay and the network's are in it: a delay is only longer for it"
)
WORTH_RECORDED = "times written beside the sentences when it was recorded: the offset is that of then"
NO_FIX_YET = "no second with a satellite fix has come yet: only such a one is the satellites' own"
NO_TIMES = "this recording has no times of arrival beside its sentences: nothing to compare with (`r` records them)"


class Clocks(NamedTuple):
    """Both clocks of a computer at one moment."""

    unix_s: float
    """The one that is shown, and set."""
    monotonic_s: float
    """The one that the arrivals are on."""


def no_line() -> LineName:
    """As of a recording. A function with a name, so that a meter can be pickled (`core.checkpoint`)."""
    return LineName("", None)


@dataclass(frozen=True, slots=True)
class ClockSetup:
    """What a meter needs to know of its source."""

    clocks: Callable[[], Clocks] | None = None
    """Reads both; None for a recording."""
    line: Callable[[], LineName] = no_line
    """The source's name and speed."""
    stated: Latency | None = None
    """By the user."""
    learned: Learned = nothing_learned
    """Must not raise, and may be asked once a second."""
    require_checksum: bool = True


class ClockMeter:
    """Fed with everything that arrives and with each finished epoch, in one thread; tells a report."""

    def __init__(self, setup: ClockSetup) -> None:
        self._setup = setup
        self._reader = BurstReader(setup.require_checksum, by_stamps=setup.clocks is None)
        self._window = DelayWindow()
        self._start = ColdStart()
        self._waiting: dict[int, StampedSecond] = {}
        self._shift_s = 0.0
        self._jumps: deque[Jump] = deque(maxlen=JUMPS_KEPT)
        self._leap_second = False
        self._told_s = -inf
        self._report = ClockReport(recorded=setup.clocks is None, worth=self._worth())

    def report(self) -> ClockReport:
        """As of the newest finished epoch."""
        return self._report

    def arrived(self, data: bytes, at_s: float) -> None:
        """Bytes, before the model takes them."""
        for second in self._reader.feed(data, at_s):
            known = self._waiting.get(second.time_ms)
            if known is None or (known.named_by == ZDA and second.named_by != ZDA):
                self._waiting[second.time_ms] = second
        while len(self._waiting) > WAITING:
            self._waiting.pop(next(iter(self._waiting)))

    def epoch(self, fix: Fix) -> None:
        """A finished epoch that says whether there is a fix: only with one is its second that of the satellites."""
        now_s = self._reader.now_s
        if now_s is None:
            self._report = ClockReport(reasons=(NO_TIMES,), recorded=True, worth=self._worth(), utc=fix.utc)
            return
        self._start.take(fix, now_s)
        second = self._waiting.pop(fix.utc.time_ms, None) if fix.utc else None
        if fix.utc is None or second is None or not fix.is_satellite_fix:
            if self._report.reasons == NOTHING_YET:
                self._report = replace(self._report, reasons=(NO_FIX_YET,))
            return
        self._look_at_clocks(now_s)
        if fix.utc.time_ms >= MS_PER_DAY:
            self._leap_second = True  # 23:59:60 has no place in a computer's day; what follows is a second later
            return
        self._add(second)
        if abs(second.sentence_s - self._told_s) >= TOLD_EVERY_S:
            self._told_s = second.sentence_s
            self._report = self._work_out(fix.utc, second)

    def _add(self, second: StampedSecond) -> None:
        if self._leap_second:
            self._leap_second = False
            self._window.restart()
            self._jumps.append(Jump(second.sentence_s, -1.0, "a leap second came"))
        delay_s = _within_a_day(second.sentence_s - second.time_ms / 1000)
        burst_s = delay_s - (second.sentence_s - second.burst_s)
        step_s = self._window.add(Delay(second.sentence_s, delay_s, burst_s, second.size, second.pause_s))
        if step_s is not None:
            words = f"the clocks moved against each other by {step_s:+.1f} s, or the delays did: measured anew"
            self._jumps.append(Jump(second.sentence_s, step_s, words))

    def _look_at_clocks(self, now_s: float) -> None:
        """How far the clock that is shown is from the one that arrivals are on."""
        if self._setup.clocks is None:
            return
        clocks = self._setup.clocks()
        before_s, self._shift_s = self._shift_s, clocks.unix_s - clocks.monotonic_s
        by_s = self._shift_s - before_s
        if self._report.utc is not None and abs(by_s) > JUMP_S:
            words = f"this computer's clock was set by {by_s:+.2f} s, or the computer slept"
            self._jumps.append(Jump(now_s, by_s, words))

    # The report

    def _work_out(self, utc: Utc, second: StampedSecond) -> ClockReport:
        line, latency = self._setup.line(), self._latency()
        found = self._offsets(latency)
        computer_s = second.sentence_s + self._shift_s
        days = compare_days(utc, computer_s, found.at_most_s, recorded=self._recorded)
        found = found.moved(days.apart * DAY_S)
        waits = "" if self._window.ready else self._still()
        trouble = self._window.trouble(line.baud)
        bounds = None if waits or trouble else (found.low_s, found.high_s)
        doubts = Doubts(self._guards(days, second.sentence_s, bounds), waits, trouble, dated=days.sure)
        facts = ClockReport(
            epochs=len(self._window),
            watched_s=self._window.watched_s,
            latency=latency,
            notes=tuple(one for one in (days.note,) if one),
            jumps=tuple(self._jumps),
            utc=Utc(utc.time_ms, days.day),
            computer_s=computer_s,
            recorded=self._recorded,
            worth=self._worth(),
            key=self._key(),
        )
        return concluded(facts, found, doubts)

    @property
    def _recorded(self) -> bool:
        return self._setup.clocks is None

    def _offsets(self, latency: Latency) -> Offsets:
        """Computer less UTC within half a day either way: what the filter knows, moved to the clock that is shown."""
        bounds, (middle_s, tenth_s, nine_tenths_s) = self._window.bounds(), self._window.spread()
        # A learned latency is that of the sentence, as it was learned; others are of whatever comes first.
        least_s = bounds.least_sentence_s if latency.basis is Basis.LEARNED else bounds.least_burst_s
        moved_s = self._shift_s - round((bounds.most_s + self._shift_s) / DAY_S) * DAY_S
        most_s = bounds.most_s + self._reader.resolution_s
        offsets = Offsets(least_s - latency.high_s, most_s - latency.low_s, most_s, middle_s, nine_tenths_s - tenth_s)
        return offsets.moved(moved_s)

    def _guards(self, days: Days, now_s: float, bounds: tuple[float, float] | None) -> tuple[Guard, ...]:
        leap = None if days.guard else leap_guard(self._start, now_s, bounds)
        zone = zone_guard(sum(bounds) / 2) if self._recorded and bounds else None
        return tuple(guard for guard in (days.guard, zone, leap) if guard)

    def _latency(self) -> Latency:
        if self._setup.stated:
            return self._setup.stated
        key = self._key()
        found = self._setup.learned(key) if key else None
        return found or (RELAYED if self._setup.line().relayed else ASSUMED)

    def _key(self) -> ReceiverKey | None:
        """Only once the filter has watched long enough to have met every kind of sentence."""
        line = self._setup.line()
        return ReceiverKey(line.where, line.baud, self._reader.formatters) if self._window.ready else None

    def _still(self) -> str:
        if self._window.watched_s < NEEDED_S:
            return f"watching for {self._window.watched_s:.0f} s so far, {NEEDED_S:.0f} s are needed"
        return f"{len(self._window)} seconds were named so far, {NEEDED} are needed"

    def _worth(self) -> str:
        if self._setup.clocks is None:
            return WORTH_RECORDED
        return WORTH_RELAYED if self._setup.line().relayed else WORTH_SERIAL


def _within_a_day(seconds: float) -> float:
    """Less whole days: a distance of half a day either way."""
    return seconds - round(seconds / DAY_S) * DAY_S
