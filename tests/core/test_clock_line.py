"""A real line: a pty, a thread that sends bursts at known delays, this computer's own clock. So the offset is 0.

It sends ten seconds' worth of stamps a second, so that a minute's watching takes long enough for a filter that is asked
for less: the needed time is shortened, nothing else. No assertion is timed: the stamps come from the same clock.
"""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime

import pytest

from core import clock_samples
from core.clock import ClockMeter, ClockSetup
from core.clock_report import ClockReport
from core.latency import LineName
from core.model import FixModel
from core.sources.clocks import read_clocks
from core.sources.serial_source import RealHost, SerialSource, Wanted
from tests.build import lines

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="a pty stands for the line")

DELAY_S = 0.12
"""Of the sender, from the moment that it names: within the assumed latency."""
PERIOD_S = 0.1


def burst(at_s: float) -> bytes:
    """It names the moment `at_s`, Unix seconds."""
    moment = datetime.fromtimestamp(at_s, UTC)
    clock, day = f"{moment:%H%M%S}.{moment.microsecond // 10_000:02d}", f"{moment:%d%m%y}"
    place = "1030.0000,N,02015.0000,W"
    return lines(f"GNRMC,{clock},A,{place},0.0,,{day},,,A", f"GNGGA,{clock},{place},1,08,1.1,12.5,M,30.0,M,,")


@contextmanager
def receiver() -> Iterator[str]:
    """The name of a port on which bursts come, each `DELAY_S` after the tenth of a second that it names."""
    near, far = os.openpty()
    stop = threading.Event()

    def send() -> None:
        tenth = int(time.time() / PERIOD_S) + 2
        while not stop.is_set():
            named = tenth * PERIOD_S
            if stop.wait(max(0.0, named + DELAY_S - time.time())):
                return
            os.write(near, burst(round(named, 2)))
            tenth += 1

    thread = threading.Thread(target=send, daemon=True)
    thread.start()
    try:
        yield os.ttyname(far)
    finally:
        stop.set()
        thread.join()
        os.close(far)
        os.close(near)


def test_on_a_real_line_the_bounds_hold_nothing_at_all(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock_samples, "NEEDED_S", 2.0)
    with receiver() as device:
        source = SerialSource(Wanted(device, 9600), RealHost(), time.monotonic)
        found = read_until_bounded(source)
        source.close()
        source.read(0.0)
    assert found.low_s is not None
    assert found.high_s is not None
    assert found.low_s <= 0.0 <= found.high_s
    assert found.at_most_s is not None
    assert found.at_most_s >= DELAY_S - 0.01
    assert found.notes == ()


def read_until_bounded(source: SerialSource) -> ClockReport:
    model = FixModel()
    model.clock = ClockMeter(ClockSetup(read_clocks, lambda: LineName("a pty", None)))
    for _ in range(100_000):
        arrival = source.read(0.25)
        if arrival is not None:
            model.feed(arrival.data, arrival.at_s)
        if model.clock.report().low_s is not None:
            break
    return model.clock.report()
