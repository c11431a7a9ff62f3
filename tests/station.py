"""A simulated receiver, its line, and a computer whose clock is wrong by a known amount: the truth of the clock tests.

Written without the code under test: the second a receiver names, when its bytes leave, how long each is on the line,
when the system hands them over, what both clocks of the computer say then. All is invented.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from math import ceil

from core.clock import ClockMeter, Clocks, ClockSetup
from core.clock_report import ClockReport
from core.latency import Latency, Learned, LineName, nothing_learned
from core.model import FixModel
from tests.build import gga, gsa, gsv, lines, rmc

NOON = datetime(2031, 5, 4, 12, tzinfo=UTC).timestamp()
MONOTONIC_AT_NOON_S = 5_000.0
Bodies = Callable[[float], list[str]]
"""Seconds of the day to the sentences of a burst."""


def plain(second: float) -> list[str]:
    """The fix first: 5 sentences, some 300 bytes."""
    return [rmc(second), gga(second), gsa(5, 7, 13), gsv(1, 2, 5, 7, 13, 15), gsv(2, 2, 20, 24, 28, 30)]


def short(second: float) -> list[str]:
    """The fix alone, for high rates."""
    return [rmc(second), gga(second)]


def sky_first(second: float) -> list[str]:
    """Satellites in view before the fix of the same second."""
    return [gsv(1, 2, 5, 7, 13, 15), gsv(2, 2, 20, 24, 28, 30), gsa(5, 7, 13), rmc(second), gga(second)]


def crowded(second: float) -> list[str]:
    """Four systems: some 1000 bytes, more than 4800 or 9600 baud carry in a second."""
    sky = [
        gsv(page, 3, *range(page, page + 4), talker=talker) for talker in ("GP", "GL", "GA", "GB") for page in (1, 2, 3)
    ]
    return [rmc(second), gga(second), gsa(5, 7, 13), *sky]


@dataclass(frozen=True)
class Station:
    """What is simulated; times in seconds."""

    offset_s: float = 0.0
    """Computer less UTC: the truth."""
    latency_s: float = 0.2
    """From a second to the burst's first byte leaving the receiver."""
    hz: int = 1
    baud: int = 9600
    bodies: Bodies = plain
    grid_s: float = 0.004
    """The system hands bytes over at multiples of this."""
    jitter: Callable[[random.Random], float] = lambda _: 0.0
    """Further delay of each piece."""
    in_one_piece: bool = False
    """As a network does: a burst a segment."""
    receiver_error_s: Callable[[float], float] = lambda _: 0.0
    """What the receiver names beyond UTC, by seconds since noon: leap seconds that have not come yet."""
    drift: float = 0.0
    """Of the computer's steady clock; the one that is shown runs as fast."""
    set_at: tuple[float, float] | None = None
    """When the computer's clock is set, and by how much."""
    buffer: int | None = None
    """Bytes that a receiver keeps for a line that is too slow; a burst that finds no room is lost. None: all."""
    begins_s: float = 0.0
    """After noon."""
    void: int = 0
    """Bursts at the beginning without a time or a fix."""
    known_baud: bool = True
    seed: int = 1

    def true_offset_s(self, t: float) -> float:
        """Computer less UTC, `t` seconds after noon."""
        step = self.set_at[1] if self.set_at and t >= self.set_at[0] else 0.0
        return self.offset_s + self.drift * t + step

    def clocks(self, t: float) -> Clocks:
        """Both clocks of the computer."""
        return Clocks(NOON + t + self.true_offset_s(t), MONOTONIC_AT_NOON_S + t * (1.0 + self.drift))

    def arrivals(self, seconds: float) -> Iterator[tuple[float, bytes]]:
        """When, in seconds after noon, the computer has which bytes."""
        chance = random.Random(self.seed)
        last = self.begins_s
        for left, data in self._pieces(seconds):
            arrived = max(last, ceil(left / self.grid_s) * self.grid_s + self.jitter(chance))
            last = arrived
            yield arrived, data

    def _pieces(self, seconds: float) -> Iterator[tuple[float, bytes]]:
        """Bytes that are handed over together, and when the last of them has come over the line."""
        byte_s = 10.0 / self.baud
        free = self.begins_s
        for n in range(int(seconds * self.hz)):
            t = self.begins_s + n / self.hz
            data = self._burst(n, t)
            begin = max(t + self.latency_s, free)
            if self.buffer is not None and (free - t - self.latency_s) / byte_s > self.buffer:
                continue
            free = begin + len(data) * byte_s
            if self.in_one_piece:
                yield free, data
                continue
            step = max(1, int(self.grid_s / byte_s))
            # The first byte by itself, as a reader that waits for one gets it.
            yield begin + byte_s, data[:1]
            for at in range(1, len(data), step):
                piece = data[at : at + step]
                yield begin + (at + len(piece)) * byte_s, piece

    def _burst(self, n: int, t: float) -> bytes:
        if n < self.void:
            return lines(rmc(None, status="V", day="", more="N"), gga(None, quality="0"))
        return lines(*self.bodies(43_200 + t + self.receiver_error_s(t)))


@dataclass
class Watched:
    """Every report of a run with the truth at that moment."""

    reports: list[tuple[float, ClockReport]] = field(default_factory=list)

    @property
    def last(self) -> ClockReport:
        """The newest."""
        return self.reports[-1][1]


def watch(
    station: Station, seconds: float = 75.0, stated: Latency | None = None, learned: Learned = nothing_learned
) -> Watched:
    """Run it through the model, and keep each new report with the true offset at that moment."""
    now = [0.0]
    setup = ClockSetup(
        clocks=lambda: station.clocks(now[0]),
        line=lambda: LineName(
            "tcp://q.invalid:1" if station.in_one_piece else "a port", station.baud if station.known_baud else None
        ),
        stated=stated,
        learned=learned,
    )
    model = FixModel()
    model.clock = ClockMeter(setup)
    found = Watched()
    for t, data in station.arrivals(seconds):
        now[0] = t
        model.feed(data, station.clocks(t).monotonic_s)
        report = model.clock.report()
        if not found.reports or found.reports[-1][1] is not report:
            found.reports.append((station.true_offset_s(t), report))
    return found
