"""What the page is made from: figures only, all bounded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from core.events import Event
from core.fix import Fix
from core.model import Counts
from core.report.columns import Column
from core.report.quality import Quality
from core.report.stops import Stop
from core.report.times import Times
from core.report.way import WayPlace
from core.signal_by_elevation import SignalBand
from core.sky_memory import TrackPlace
from core.trip import Totals


class Subject(NamedTuple):
    """What is reported on."""

    name: str
    """The file's, without its folder: that may say more of somebody than they mean to pass on."""
    rehearsal: bool


class End(NamedTuple):
    """The first or the last usable place, else the first or last satellite fix of all."""

    fix: Fix
    error_95_m: float | None


class Trail(NamedTuple):
    """Where it went."""

    usable: tuple[WayPlace, ...]
    doubtful: tuple[WayPlace, ...]
    pieces: int
    """Of the usable way; as many breaks as that less one."""


class Happened(NamedTuple):
    """Events, oldest first."""

    shown: tuple[Event, ...]
    left_out: int


class Sky(NamedTuple):
    """What the sky showed."""

    tracks: Mapping[str, tuple[TrackPlace, ...]]
    signal: tuple[SignalBand, ...]
    """Of all systems together."""


class Standing(NamedTuple):
    """Stops that were long enough."""

    longest: tuple[Stop, ...]
    count: int  # type: ignore[assignment]  # hides tuple.count: nobody counts a value in here


@dataclass(frozen=True, slots=True)
class Report:
    """All of it."""

    subject: Subject
    digest: Mapping[str, Any]
    """As `fixboard digest --json` has it."""
    counts: Counts
    totals: Totals | None
    """None where no fix was good enough to count by."""
    times: Times
    start: End | None
    end: End | None
    series: Mapping[str, tuple[Column, ...]]
    """By the names in `core.report.collect.SERIES`."""
    trail: Trail
    sky: Sky
    standing: Standing
    happened: Happened
    quality: Quality
    texts: tuple[str, ...]
    """The receiver's own messages, the newest, as received."""
