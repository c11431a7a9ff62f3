"""The heart: feed it bytes and arrival times, take immutable snapshots.

bytes -> framing -> decode -> epoch -> Fix, with the sky, the history of values and the counts kept beside. No clock is
read here and nothing raises: damage is counted and shown, it never ends a stream.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from typing import NamedTuple

from core.aged import Aged, Freshness
from core.clock import ClockMeter
from core.clock_report import NO_CLOCK
from core.course import CourseTrust, course_trust, trust_after
from core.events import Event as SessionEvent
from core.events import EventLog
from core.fix import Fix, Satellite
from core.history import History, Moment, Values
from core.intake import Intake
from core.judgement import Judgement
from core.navigator import Going, Navigator
from core.nmea.decode import Malformed, read
from core.nmea.epoch import Epoch, EpochAssembler
from core.nmea.framing import Event, Framer, Reason, Rejected
from core.nmea.merge import DayCarry, merge
from core.nmea.readings import Text
from core.outing import NO_REPORT, Outing
from core.series import SAMPLES_KEPT, Sample, sample
from core.site import NO_SITE, SiteAverager
from core.sky import SkyBook
from core.sky_memory import NO_HISTORY, SkyHistory, SkyMemory
from core.snapshot import Counts, Snapshot, WireLine
from core.trust import NO_TRUST, Trust, Verdict

__all__ = ["Counts", "Finished", "FixModel", "Observer", "Snapshot", "WireLine"]


class Finished(NamedTuple):
    """A finished epoch and what was known as of it."""

    fix: Fix
    in_view: int | None
    """Satellites in view."""
    trust: Trust
    """NO_TRUST unless the model judges."""
    at_s: float = 0.0
    """When its first sentence arrived, on the source's clock."""


Observer = Callable[[Finished], None]
"""Takes each finished epoch."""
AT_ONCE = 8192
"""Bytes framed before they are decoded: a larger block's sentences leave the processor's cache."""
_ASIDE = frozenset({Malformed, Text})
"""No part of an epoch."""


class FixModel:
    """Turns a stream of bytes into snapshots. One per source; not for use by two threads at once."""

    def __init__(
        self,
        require_checksum: bool = True,
        observer: Observer | None = None,
        judgement: Judgement | None = None,
        outing: Outing | None = None,
    ) -> None:
        """`require_checksum`: refuse sentences without one (contract.md, Checksums).

        `observer` is told each epoch; with a `judgement` each has a verdict; an `outing` counts those that are usable.
        """
        self._observer = observer
        self._judgement = judgement
        self.outing = outing
        self.navigator = Navigator()
        """Guides along the route that it is given."""
        self.site: SiteAverager | None = SiteAverager()
        """Averages one spot once it is told to; never None here."""
        self.sky_memory: SkyMemory | None = None
        """What the sky has shown, where somebody may want to look at it: it costs the decoding of every satellite."""
        self.positions_only = False
        """Whether the trip counts every position: somebody's track, whose quality nobody can judge."""
        self.clock: ClockMeter | None = None
        """Compares clocks, where there is one to compare with."""
        self._events = EventLog()
        self._samples: deque[Sample] = deque(maxlen=SAMPLES_KEPT)
        self._trust_now = NO_TRUST
        self._trust_of_fix = NO_TRUST
        self._framer = Framer(require_checksum)
        self._assembler = EpochAssembler()
        self._sky = SkyBook()
        self._history = History()
        self._carry = DayCarry()
        self._at_s = 0.0
        self._last_fix: Moment | None = None
        self._at_last_fix: tuple[History, SkyBook] | None = None
        self._trust = CourseTrust.NONE
        self._intake = Intake()
        self._epochs = self._with_fix = 0

    @property
    def epoch_complete(self) -> bool:
        """Whether the newest epoch looks complete, or an older one was amended: a good moment to show it."""
        return self._assembler.complete or self._assembler.amended

    @property
    def in_view(self) -> int | None:
        """Distinct satellites in view as of the newest finished epoch; None before any group was reported."""
        return len(self._sky.names()) if self._sky.any_group else None

    def feed(self, data: bytes, at_s: float) -> list[Fix]:
        """Take bytes that arrived at `at_s` (seconds, any monotonic clock); the Fixes of the epochs they finished."""
        self._at_s = at_s
        finished: list[Fix] = []
        for begin in range(0, len(data), AT_ONCE):
            block = data[begin : begin + AT_ONCE]
            if self.clock:
                self.clock.arrived(block, at_s)
            self._take(self._framer.feed(block), at_s, finished)
        return finished

    def finish(self) -> list[Fix]:
        """The input has ended: decide what is left in the buffers."""
        finished: list[Fix] = []
        self._take(self._framer.finish(), self._at_s, finished)
        left = self._assembler.finish()
        finished.extend(self._finished(epoch, last=epoch is left[-1]) for epoch in left)
        return finished

    def snapshot(self) -> Snapshot:
        """The state as of the newest byte. Epochs still open are merged as far as they have come."""
        open_moments = self._open_moments()
        newest = next((moment for moment in reversed(open_moments) if moment.fix.told), None)
        values = self._history.values(open_moments)
        self._assembler.amended = False
        fix = newest.fix if newest else self._history.newest_fix()
        return Snapshot(
            fix=fix,
            at_s=self._at_s,
            values=values,
            course_trust=trust_after((moment.fix.speed_mps for moment in open_moments), self._trust),
            sky=_sky_now(self._looking_ahead(), values, self._at_s),
            last_fix=next((m for m in reversed(open_moments) if m.fix.is_satellite_fix), self._last_fix),
            counts=self._counts(open_moments),
            wire=tuple(self._intake.wire),
            texts=tuple(self._intake.texts),
            trust=self._looking_at(open_moments),
            events=self._events.all(),
            samples=tuple(self._samples),
            going=self._going_ahead(open_moments),
            trip=self.outing.report() if self.outing else NO_REPORT,
            site=self.site.report() if self.site else NO_SITE,
            sky_history=SkyHistory(self.sky_memory, self.sky_memory.epochs) if self.sky_memory else NO_HISTORY,
            clock=self.clock.report() if self.clock else NO_CLOCK,
            open_epochs=tuple(open_moments),
        )

    @property
    def epochs_seen(self) -> int:
        """Epochs so far, those still open included."""
        return self._epochs + sum(1 for epoch in self._open_epochs() if epoch.anchors)

    def swap_logs(
        self, samples: deque[Sample], events: deque[SessionEvent]
    ) -> tuple[deque[Sample], deque[SessionEvent]]:
        """Go on with these; those that there were. Both are appended to, and bounded by their own `maxlen` only."""
        before, self._samples = self._samples, samples
        return before, self._events.swap(events)

    def _take(self, events: list[Event], at_s: float, finished: list[Fix]) -> None:
        """Take what the framer found, in order; a block of nothing but good sentences as a whole."""
        if Rejected in set(map(type, events)) or not events:
            for event in events:
                self._take_one(event, at_s, finished)
            return
        addresses, bodies, texts, _, _, verified = zip(*events, strict=True)
        readings = list(map(read, addresses, bodies))
        if _ASIDE.isdisjoint(map(type, readings)):
            self._intake.take_all(addresses, texts, verified)
            add = self._assembler.add
            for address, reading in zip(addresses, readings, strict=True):
                if reading is not None:
                    epoch = add(address, reading, at_s)  # type: ignore[arg-type]  # none of `_ASIDE`, as asked above
                    if epoch is not None:
                        finished.append(self._finished(epoch))
        else:
            for event in events:
                self._take_one(event, at_s, finished)

    def _take_one(self, event: Event, at_s: float, finished: list[Fix]) -> None:
        if isinstance(event, Rejected):
            self._intake.refuse(event)
            return
        self._intake.count(event.address, verified=event.verified)
        reading = read(event.address, event.body)
        if isinstance(reading, Malformed):
            self._intake.refuse(Rejected(Reason.MALFORMED, event.text, reading.detail))
            return
        self._intake.wire.append(event.text)
        if isinstance(reading, Text):
            self._intake.texts.append(reading.text)
        elif reading is not None:
            epoch = self._assembler.add(event.address, reading, at_s)
            if epoch is not None:
                finished.append(self._finished(epoch))

    def _finished(self, epoch: Epoch, last: bool = False) -> Fix:
        fix = merge(epoch, self._carry)
        self._carry.remember(fix.utc)
        self._epochs += 1
        moment = Moment(fix, epoch.at_s)
        self._keep_state_of_last_fix(fix)
        self._sky.take(epoch.gsv, epoch.at_s)
        if last:
            self._sky.close(epoch.at_s)
        if self.sky_memory and epoch.gsv and self.sky_memory.wants(epoch.at_s):
            in_view = self._sky.satellites(frozenset(fix.used or ()))
            self.sky_memory.take(in_view, epoch.at_s, fixed=fix.is_satellite_fix)
        if self._judgement and fix.told:
            self._trust_now = self._judgement.take(fix, epoch.at_s)
            self._events.take(fix, epoch.at_s, self._trust_now)
            self._samples.append(sample(fix, epoch.at_s, self._trust_now))
        if fix.told:
            self.navigator.take(fix, epoch.at_s, self._trust_now.error.horizontal_m)
            self._count(fix, epoch.at_s)
            if self.clock:
                self.clock.epoch(fix)
        if self._observer:
            self._observer(Finished(fix, self.in_view, self._trust_now, epoch.at_s))
        self._history.add(moment)
        if fix.speed_mps is not None or (fix.position is None and fix.told):
            # Neither a speed that is sent less often than the place, nor an epoch of the time alone, changes it.
            self._trust = course_trust(fix.speed_mps, self._trust)
        if fix.is_satellite_fix:
            self._with_fix += 1
            self._last_fix, self._at_last_fix = moment, None
            self._trust_of_fix = self._trust_now
        return fix

    def _count(self, fix: Fix, at_s: float) -> None:
        """For the trip and the averaging, where there are any: a digest of a million sentences has neither."""
        averages = self.site is not None and self.site.is_taking
        if not (self.outing or averages):
            return
        usable = fix.is_satellite_fix and self._trust_now.verdict >= Verdict.USABLE
        if self.positions_only:
            usable = fix.position is not None
            if self.outing and not usable:
                self.outing.interrupt()
        if self.outing:
            self.outing.take(fix, at_s, usable=usable)
        if self.site and averages:
            self.site.take(fix, at_s, usable=usable, error_95_m=self._trust_now.error.horizontal_m)

    def _keep_state_of_last_fix(self, fix: Fix) -> None:
        """The first epoch after a fix that is none: what was known until then is what is known of that fix."""
        if fix.told and not fix.is_satellite_fix and self._at_last_fix is None and self._last_fix is not None:
            self._at_last_fix = self._history.copy(), self._sky.copy()

    def last_fix_snapshot(self) -> Snapshot | None:
        """The state as it was at the newest satellite fix; None where there was none. For use after `finish`."""
        if self._last_fix is None:
            return None
        history, sky = self._at_last_fix or (self._history, self._sky)
        values = history.values([])
        return Snapshot(
            fix=self._last_fix.fix,
            at_s=self._last_fix.at_s,
            values=values,
            sky=_sky_now(sky, values, self._last_fix.at_s),
            last_fix=self._last_fix,
            counts=self._counts([]),
            trust=self._trust_of_fix,
        )

    def _open_moments(self) -> list[Moment]:
        """Epochs not finished yet, oldest first. The date carried is that of the newest finished one."""
        return [Moment(merge(epoch, self._carry), epoch.at_s) for epoch in self._open_epochs() if epoch.anchors]

    def _open_epochs(self) -> list[Epoch]:
        return [epoch for epoch in (self._assembler.previous, self._assembler.current) if epoch]

    def _looking_at(self, open_moments: list[Moment]) -> Trust:
        """The verdict on the newest epoch, finished or not."""
        told = [moment for moment in open_moments if moment.fix.told]
        ahead = self._judgement.look_ahead([*told]) if self._judgement else None
        return ahead or self._trust_now

    def _going_ahead(self, open_moments: list[Moment]) -> Going:
        """As of the newest epoch; the error of one that is not finished is taken to be that of the last one."""
        error_m = self._trust_now.error.horizontal_m
        return self.navigator.look_ahead(
            [(moment.fix, moment.at_s, error_m) for moment in open_moments if moment.fix.told]
        )

    def _looking_ahead(self) -> SkyBook:
        sky = self._sky.copy()
        for epoch in self._open_epochs():
            sky.take(epoch.gsv, epoch.at_s)
        return sky

    def _counts(self, open_moments: list[Moment]) -> Counts:
        with_fix = self._with_fix + sum(moment.fix.is_satellite_fix for moment in open_moments)
        return self._intake.counts(self._epochs + len(open_moments), with_fix)


def _sky_now(sky: SkyBook, values: Values, now_s: float) -> Aged[tuple[Satellite, ...]] | None:
    """The sky with its age. Where no GSV comes, those listed as used are all that is known of it."""
    sky.drop_old(now_s)
    fresh = values.used is not None and values.used.freshness(now_s) is not Freshness.GONE
    used = values.used.value if values.used and fresh else frozenset()
    at_s = sky.at_s()
    if at_s is not None:
        return Aged(sky.satellites(used), at_s, sky.period_s())
    if values.used is None or not used:
        return None
    return Aged(sky.satellites(used), values.used.at_s, values.used.period_s)
