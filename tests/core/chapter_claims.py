"""What the words of a chapter may claim of its recording: a claim is tried on the spot where the chapter begins.

Times are seconds after the chapter's begin.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from importlib.resources import as_file
from typing import NamedTuple

import replays
from core.accuracy import ErrorModel
from core.chapter_file import Entry, chapters_path, read_entries
from core.epochs import Epoch, EpochReader
from core.fix import FixMode, Position
from core.places.geodesic import distance_m
from core.sky_memory import SkyMemory
from core.sources.recording import open_recording
from core.trust import Verdict
from tui.screens.board import PAGES


class Played(NamedTuple):
    """A bundled recording, read to its end."""

    epochs: tuple[Epoch, ...]

    def at(self, at_s: float) -> Epoch:
        """The newest epoch at this moment."""
        return [one for one in self.epochs if one.at_s <= at_s + 0.01][-1]

    def between(self, from_s: float, to_s: float) -> list[Epoch]:
        return [one for one in self.epochs if from_s <= one.at_s <= to_s]


@lru_cache(maxsize=2)
def played(name: str) -> Played:
    with as_file(replays.path(name)) as path:
        reader = EpochReader(open_recording(path), True, ErrorModel())
        reader.model.sky_memory = SkyMemory()
        return Played(tuple(one for one in reader.epochs() if one.fix.told))


@lru_cache(maxsize=16)
def chapters(name: str) -> tuple[Entry, ...]:
    """Found as `fixboard demo` finds them: beside the recording."""
    with as_file(replays.path(name)) as path:
        return read_entries(chapters_path(path), PAGES)


class Spot(NamedTuple):
    """A chapter's begin in its recording."""

    run: Played
    begin_s: float

    def epoch(self, after_s: float) -> Epoch:
        return self.run.at(self.begin_s + after_s)

    def span(self, from_s: float, to_s: float) -> list[Epoch]:
        return self.run.between(self.begin_s + from_s, self.begin_s + to_s)

    def positions(self, from_s: float, to_s: float) -> list[Position]:
        return [one.fix.position for one in self.span(from_s, to_s) if one.fix.position is not None]

    def extent_m(self, from_s: float, to_s: float) -> float:
        spots = self.positions(from_s, to_s)
        return max(distance_m(spots[0], one) for one in spots)

    def way_m(self, from_s: float, to_s: float) -> float:
        return distance_m(*(self.positions(from_s, to_s)[end] for end in (0, -1)))


Claim = Callable[[Spot], bool]


def fix(after_s: float) -> Claim:
    return lambda spot: spot.epoch(after_s).fix.is_satellite_fix


def no_fix(after_s: float) -> Claim:
    return lambda spot: spot.epoch(after_s).fix.position is None


def comes(after_s: float) -> Claim:
    """A fix that was not there the second before."""
    return lambda spot: no_fix(after_s - 1)(spot) and fix(after_s)(spot)


def goes(after_s: float) -> Claim:
    return lambda spot: fix(after_s - 1)(spot) and no_fix(after_s)(spot)


def verdict(after_s: float, wanted: Verdict) -> Claim:
    return lambda spot: spot.epoch(after_s).trust.verdict is wanted


def firm(after_s: float) -> Claim:
    return verdict(after_s, Verdict.FIRM)


def usable(after_s: float) -> Claim:
    return verdict(after_s, Verdict.USABLE)


def doubtful(after_s: float) -> Claim:
    return verdict(after_s, Verdict.DOUBTFUL)


def mode(after_s: float, wanted: FixMode) -> Claim:
    return lambda spot: spot.epoch(after_s).fix.mode is wanted


def dimensions(after_s: float, wanted: int) -> Claim:
    return lambda spot: spot.epoch(after_s).fix.dimensions == wanted


def used(after_s: float, low: int, high: int) -> Claim:
    return lambda spot: low <= (spot.epoch(after_s).fix.satellites_in_fix or 0) <= high


def heard(after_s: float, low: int, high: int) -> Claim:
    def holds(spot: Spot) -> bool:
        evidence = spot.epoch(after_s).trust.evidence
        return evidence is not None and low <= (evidence.heard or 0) <= high

    return holds


def strong(after_s: float, low: int, high: int) -> Claim:
    def holds(spot: Spot) -> bool:
        evidence = spot.epoch(after_s).trust.evidence
        return evidence is not None and low <= evidence.strong <= high

    return holds


def hdop(after_s: float, low: float, high: float) -> Claim:
    return lambda spot: low <= (spot.epoch(after_s).fix.hdop or 99.0) <= high


def pdop(after_s: float, low: float, high: float) -> Claim:
    return lambda spot: low <= (spot.epoch(after_s).fix.pdop or 0.0) <= high


def error(after_s: float, low_m: float, high_m: float) -> Claim:
    return lambda spot: low_m <= (spot.epoch(after_s).trust.error.horizontal_m or 9999.0) <= high_m


def error_falls(from_s: float, to_s: float, factor: float) -> Claim:
    def holds(spot: Spot) -> bool:
        first, last = (spot.epoch(one).trust.error.horizontal_m for one in (from_s, to_s))
        return first is not None and last is not None and last * factor <= first

    return holds


def error_grows(from_s: float, to_s: float, factor: float) -> Claim:
    return error_falls(to_s, from_s, factor)


def moves(after_s: float, least_mps: float = 0.8) -> Claim:
    return lambda spot: (spot.epoch(after_s).fix.speed_mps or 0.0) >= least_mps


def stands(after_s: float) -> Claim:
    def holds(spot: Spot) -> bool:
        speed = spot.epoch(after_s).fix.speed_mps
        return speed is not None and speed < 0.3

    return holds


def no_course(after_s: float) -> Claim:
    return lambda spot: spot.epoch(after_s).fix.course_deg is None


def course(after_s: float, low_deg: float, high_deg: float) -> Claim:
    return lambda spot: low_deg <= (spot.epoch(after_s).fix.course_deg or -1.0) <= high_deg


def altitude(after_s: float, low_m: float, high_m: float) -> Claim:
    def holds(spot: Spot) -> bool:
        found = spot.epoch(after_s).fix.altitude_m
        return found is not None and low_m <= found <= high_m

    return holds


def wanders(from_s: float, to_s: float, low_m: float, high_m: float) -> Claim:
    return lambda spot: low_m <= spot.extent_m(from_s, to_s) <= high_m


def signals_fall(from_s: float, to_s: float, least_db: float) -> Claim:
    def holds(spot: Spot) -> bool:
        first, last = (spot.epoch(one).trust.evidence for one in (from_s, to_s))
        assert first is not None
        assert last is not None
        return (first.best_four_dbhz or 0.0) - (last.best_four_dbhz or 0.0) >= least_db

    return holds


def year(after_s: float, wanted: int) -> Claim:
    def holds(spot: Spot) -> bool:
        utc = spot.epoch(after_s).fix.utc
        return utc is not None and utc.day is not None and utc.day.year == wanted

    return holds


def date_is_wrong(after_s: float) -> Claim:
    def holds(spot: Spot) -> bool:
        evidence = spot.epoch(after_s).trust.evidence
        return evidence is not None and evidence.day_is_wrong

    return holds


def east(after_s: float) -> Claim:
    return lambda spot: (spot.epoch(after_s).fix.position or Position(0.0, -1.0)).longitude_deg > 0


def west(after_s: float) -> Claim:
    return lambda spot: (spot.epoch(after_s).fix.position or Position(0.0, 1.0)).longitude_deg < 0


def systems(wanted: set[str]) -> Claim:
    return lambda spot: {name[0] for name in spot.epoch(30).fix.used or ()} == wanted


def has_time(after_s: float) -> Claim:
    return lambda spot: spot.epoch(after_s).fix.utc is not None


def not_(claim: Claim) -> Claim:
    return lambda spot: not claim(spot)


def within(from_s: float, to_s: float, claim: Callable[[float], Claim]) -> Claim:
    """At some second of it."""
    return lambda spot: any(claim(float(second))(spot) for second in range(int(from_s), int(to_s) + 1))


def throughout(from_s: float, to_s: float, claim: Callable[[float], Claim]) -> Claim:
    """At every second of it."""
    return lambda spot: all(claim(float(second))(spot) for second in range(int(from_s), int(to_s) + 1))


def jumps(after_s: float, metres: float) -> Claim:
    def holds(spot: Spot) -> bool:
        evidence = spot.epoch(after_s).trust.evidence
        return evidence is not None and evidence.jumped_m is not None and abs(evidence.jumped_m - metres) < 1.0

    return holds


def low_sky_is_hidden(azimuths: tuple[int, int], below_deg: int) -> Claim:
    """No satellite is tracked there, though some stand there."""

    def holds(spot: Spot) -> bool:
        there = [
            one
            for epoch in spot.span(0, 30)
            for one in epoch.fix.satellites
            if one.azimuth_deg is not None
            and azimuths[0] <= one.azimuth_deg <= azimuths[1]
            and one.elevation_deg is not None
            and one.elevation_deg < below_deg
        ]
        return all(not one.cno_dbhz for one in there)

    return holds


def left_by_mask(mask_deg: int, most: int) -> Claim:
    def holds(spot: Spot) -> bool:
        above = [s for s in spot.epoch(2).fix.satellites if s.in_fix and (s.elevation_deg or 0) >= mask_deg]
        return len(above) <= most

    return holds


def met_again(after_s: float, first_s: float, within_m: float) -> Claim:
    def holds(spot: Spot) -> bool:
        first, now = spot.run.at(first_s).fix.position, spot.epoch(after_s).fix.position
        return first is not None and now is not None and distance_m(first, now) < within_m

    return holds
