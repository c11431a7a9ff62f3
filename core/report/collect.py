"""One pass over a recording, in bounded memory: everything the page shows."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from core.accuracy import ErrorModel
from core.digest import Digest
from core.epochs import Epoch, EpochReader
from core.events import EventKind, EventLog
from core.fix import Fix
from core.model import Counts, Finished
from core.report.columns import Columns
from core.report.model import End, Happened, Report, Sky, Standing, Subject, Trail
from core.report.quality import Quality
from core.report.stops import Stops
from core.report.times import TimesFound
from core.report.way import Way
from core.sky_memory import SkyMemory
from core.sources.recording import Recording
from core.steps import Follows, Steps
from core.trip import TripMeter
from core.trust import Verdict

SERIES = ("verdict", "height", "speed", "in_fix", "in_view", "hdop", "vdop", "pdop", "error")
"""Names of the series: 0 to 3 (`core.trust.Verdict`), metres above mean sea level, metres a second, satellites,
dilutions, and the estimated horizontal 95 % error in metres."""
MOST_EVENTS = 200
SKY_EVERY_S = 5.0
"""Satellites move by less than a degree a minute, and to decode all of them each second takes a quarter of the time."""


class Plan(NamedTuple):
    """How to read."""

    required: bool
    """Refuse sentences without a checksum."""
    rehearsal: bool
    errors: ErrorModel
    progress: Callable[[], None] = lambda: None


def collect(recording: Recording, plan: Plan) -> Report:
    """The whole recording. Raises InputError where it cannot be read on."""
    reader = EpochReader(recording, plan.required, plan.errors)
    sky = reader.model.sky_memory = SkyMemory()
    collector, skies, due_s = _Collector(), 0, -math.inf
    for epoch in reader.epochs(plan.progress):
        collector.take(epoch)
        if sky.epochs > skies:
            skies, due_s = sky.epochs, epoch.at_s + SKY_EVERY_S
        reader.model.sky_memory = sky if epoch.at_s >= due_s else None
    snapshot = reader.model.snapshot()
    return collector.report(
        Subject(recording.path.name, plan.rehearsal),
        _End(reader.counts(), Sky(sky.tracks(), sky.signal_together()), snapshot.texts),
    )


class _End(NamedTuple):
    """What is known once all has been read."""

    counts: Counts
    sky: Sky
    texts: tuple[str, ...]


class _Collector:
    def __init__(self) -> None:
        self._digest, self._trip, self._quality = Digest(), TripMeter(), Quality()
        self._events, self._times = EventLog(), TimesFound()
        self._steps, self._stops = Steps(), Stops()
        self._usable, self._doubtful = Way(), Way()
        self._was_doubtful = False
        self._columns = {name: Columns() for name in SERIES}
        self._ends: dict[bool, list[End]] = {}
        """First and newest, of the usable and of all."""

    def take(self, epoch: Epoch) -> None:
        fix, at_s, trust, in_view = epoch
        self._digest.add(Finished(fix, in_view, trust))
        self._trip.take(fix, at_s, epoch.usable)
        self._step(epoch)
        if not fix.told:
            return
        self._quality.take(fix, trust)
        self._events.take(fix, at_s, trust)
        self._times.take(fix, at_s)
        self._add_figures(epoch)
        if fix.is_satellite_fix:
            self._add_end(End(fix, trust.error.horizontal_m), usable=epoch.usable)

    def report(self, subject: Subject, end: _End) -> Report:
        self._trip.finish()
        self._stops.finish()
        ends = self._ends.get(True) or self._ends.get(False) or []
        return Report(
            subject=subject,
            digest=self._digest.as_json(end.counts),
            counts=end.counts,
            totals=self._trip.totals() if self._trip.begun else None,
            times=self._times.found(),
            start=ends[0] if ends else None,
            end=ends[-1] if ends else None,
            series={name: columns.columns() for name, columns in self._columns.items()},
            trail=Trail(self._usable.places(), self._doubtful.places(), self._usable.pieces),
            sky=end.sky,
            standing=Standing(self._stops.longest(), self._stops.count),
            happened=_weightiest(self._events),
            quality=self._quality,
            texts=end.texts,
        )

    def _step(self, epoch: Epoch) -> None:
        """The way, by the steps that the trip counts."""
        step = self._steps.take(epoch.fix, epoch.at_s, epoch.usable)
        if step is not None:
            begins = step.follows is not Follows.GOES_ON
            self._usable.take(step.sample.position, epoch.trust.verdict, begins=begins)
            height_m = None if epoch.fix.dimensions == 2 else epoch.fix.altitude_m
            self._stops.take(step, epoch.fix.utc, epoch.at_s, height_m)
        if epoch.fix.told:
            self._doubt(epoch)

    def _doubt(self, epoch: Epoch) -> None:
        doubtful = epoch.fix.is_satellite_fix and epoch.trust.verdict is Verdict.DOUBTFUL
        if doubtful and epoch.fix.position is not None:
            self._doubtful.take(epoch.fix.position, Verdict.DOUBTFUL, begins=not self._was_doubtful)
        self._was_doubtful = doubtful

    def _add_figures(self, epoch: Epoch) -> None:
        figures = _figures(epoch)
        for name, columns in self._columns.items():
            value = figures.get(name)
            if value is not None:
                columns.take(epoch.at_s, value)
            elif epoch.fix.position is None or (name in _USABLE_ONLY and not epoch.usable):
                columns.blank()

    def _add_end(self, end: End, *, usable: bool) -> None:
        for key in {False, usable}:
            kept = self._ends.setdefault(key, [end])
            self._ends[key] = [kept[0], end]


_USABLE_ONLY = frozenset({"height", "speed"})


def _figures(epoch: Epoch) -> dict[str, float | None]:
    fix = epoch.fix
    usable = epoch.usable
    return {
        "verdict": float(epoch.trust.verdict),
        "height": fix.altitude_m if usable and fix.dimensions != 2 else None,
        "speed": fix.speed_mps if usable else None,
        "in_fix": _float(fix.satellites_in_fix),
        "in_view": _float(epoch.in_view),
        **({"hdop": fix.hdop, "vdop": fix.vdop, "pdop": fix.pdop} if _has_dilution(fix) else {}),
        "error": epoch.trust.error.horizontal_m,
    }


def _has_dilution(fix: Fix) -> bool:
    """Some receivers write 99.99 where they have none, with no fix."""
    return fix.is_satellite_fix


def _float(count: int | None) -> float | None:
    return None if count is None else float(count)


_WEIGHTS = {EventKind.FIRST_HEARD: 0, EventKind.FIRST_FIX: 0, EventKind.VERDICT: 2}
"""The lower, the longer it stays."""


def _weightiest(log: EventLog) -> Happened:
    """Where there are too many, changes of the verdict go first, then the oldest; the first of their sort stay."""
    found = log.all()
    order = sorted(range(len(found)), key=lambda number: (_WEIGHTS.get(found[number].kind, 1), -number))
    kept = sorted(order[:MOST_EVENTS])
    return Happened(tuple(found[number] for number in kept), log.count - len(kept))
