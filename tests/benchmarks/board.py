"""What the board costs while it runs, and how late it is: every figure beside what it should be at most, as a ratio.

Run from the project's folder: `python -m tests.benchmarks.board [SECONDS] [--rounds N] [--epochs N] [--no-lateness]`.
The real program in a pty of 120x40 reads another pty as its serial port, all panes of the board in sight. The feed is
invented: ten sentences an epoch, a receiver that goes round a circle once a minute, so that course-up all turns.

CPU is that of the whole process, reading and judging included, from some seconds after its start on, in per cent of one
core; so is how often any of its threads was woken. Runs take turns, so that what else the machine does falls on all,
and the median of the rounds counts. Lateness is that of tests.benchmarks.live, on the screen of a real tmux if there is
one. Nothing here is a test, because a loaded machine would make it fail. Linux only.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from math import cos, pi, sin
from pathlib import Path
from statistics import median
from typing import NamedTuple

from core.locations import Locations
from tests.benchmarks import live
from tests.benchmarks.multiplexer import has_tmux
from tests.benchmarks.process import resident_kb, used
from tests.benchmarks.terminal import COLUMNS, ROWS, Quiet, board
from tests.build import lines
from tests.tui.support import ISLE, Epoch
from tests.wire import PtyReceiver
from tui.session import Look, Session

BAUD = 115_200
START_S, SETTLE_S = 3.0, 6.0
"""Start-up, the first paints and notices that come and go are not what is measured here."""
MORE = ("GNVTG,90.0,T,,M,2.9,N,5.4,K,A", "GNGST,,7.5,,,,0.6,0.5,1.2", "GNGLL,1030.0000,N,02015.0000,W,,A,A")
TURN_S = 60.0
COURSE_UP, SAVING = "u", "Y"
LATE_HZ = 5.0


class Case(NamedTuple):
    """One run."""

    name: str
    hertz: int
    keys: str
    """Pressed once it runs."""
    most_cpu: float
    """What it should take at most, as a share of one core."""
    most_bytes_per_s: float | None = None
    """What it should write at most; None where that was left open."""


CASES = (
    Case("1 Hz, north-up", 1, "", 0.01),
    Case("1 Hz, course-up", 1, COURSE_UP, 0.02),
    Case("10 Hz, north-up", 10, "", 0.07, 20_000),
    Case("10 Hz, course-up", 10, COURSE_UP, 0.10, 60_000),
    Case("1 Hz, north-up, saving", 1, SAVING, 0.005),
    Case("10 Hz, course-up, saving", 10, COURSE_UP + SAVING, 0.005),
)
MOST_MEDIAN_S, MOST_P99_S = 0.010, 0.030
"""From the last byte of an epoch to the screen of a tmux."""


class Cost(NamedTuple):
    """What a run took."""

    cpu_share: float
    bytes_per_s: float
    woken_per_s: float
    resident_kb: int


def circling(second: float) -> Epoch:
    """Where the circle is after so many seconds."""
    angle = second / TURN_S * 2 * pi
    north, west = 30 + 0.02 * cos(angle), 15 - 0.02 * sin(angle)
    sky = (
        f"GPGSV,2,1,08,05,45,090,{41 + int(second) % 3},07,30,180,38,13,60,270,{44 - int(second) % 2},15,12,010,33",
        "GPGSV,2,2,08,20,22,045,35,24,75,200,46,28,18,310,,30,50,120,42",
        f"GAGSV,1,1,03,04,30,240,{40 + int(second) % 4},09,65,330,45,11,10,100,27",
    )
    return Epoch(
        second=second,
        place=f"10{north:07.4f},N,020{west:07.4f},W",
        course=f"{(second * 360 / TURN_S + 90) % 360:.1f}",
        altitude=f"{12.5 + sin(angle):.1f}",
        sky=sky,
        more=MORE,
    )


def bursts(hertz: int) -> Iterator[bytes]:
    """One epoch after the other."""
    return (lines(*circling(n / hertz).bodies()) for n in range(10**6))


def measure(case: Case, seconds: float) -> Cost:
    """One run of the real program."""
    with PtyReceiver(BAUD, case.hertz, lambda: bursts(case.hertz)) as receiver:
        terminal = Quiet(board("live", receiver.device, "--baud", str(BAUD)), prepare=lead_to_isle)
        terminal.run(START_S)
        terminal.press(case.keys.encode())
        terminal.run(SETTLE_S)
        before, written, begun_s = used(terminal.pid), terminal.written, time.monotonic()
        terminal.run(seconds)
        took_s, cost = time.monotonic() - begun_s, used(terminal.pid).since(before)
        written, memory = terminal.written - written, resident_kb(terminal.pid)
        terminal.close()
    return Cost(cost.cpu_s / took_s, written / took_s, cost.woken / took_s, memory)


def lead_to_isle(folder: Path) -> None:
    """Prepare the user's folder: one waypoint, and the way to it."""
    session = Session(Locations(folder), Look())
    session.keep_route([session.add(ISLE)])


def costs(seconds: float, rounds: int) -> dict[Case, list[Cost]]:
    """Every case in every round."""
    found: dict[Case, list[Cost]] = {case: [] for case in CASES}
    for _ in range(rounds):
        for case in CASES:
            found[case].append(measure(case, seconds))
    return found


def print_costs(found: dict[Case, list[Cost]]) -> None:
    """One line a case."""
    print(f"{'':<26}{'CPU':>8}{'aim':>8}{'ratio':>7}   {'kB/s':>7}{'aim':>6}{'ratio':>7}   {'woken/s':>8}{'MB':>6}")
    for case, runs in found.items():
        cpu, written, woken, memory = (median(values) for values in zip(*runs, strict=True))
        most = case.most_bytes_per_s
        beside = f"{'':>13}" if most is None else f"{most / 1000:>6.0f}{written / most:>7.2f}"
        print(f"{case.name:<26}{cpu:>8.2%}{case.most_cpu:>8.1%}{cpu / case.most_cpu:>7.2f}", end="")
        print(f"   {written / 1000:>7.2f}{beside}   {woken:>8.1f}{memory / 1024:>6.0f}")


def print_lateness(epochs: int) -> None:
    """Two lines."""
    if not has_tmux():
        print("no tmux here: how late its screen is has not been measured")
        return
    late = live.measure(live.in_tmux, epochs, LATE_HZ)
    print(f"to the screen of a tmux, {late.epochs} epochs at {LATE_HZ:g} Hz, {late.missed} not shown in time:")
    for name, took_s, most_s in (("median", late.median_s, MOST_MEDIAN_S), ("p99", late.p99_s, MOST_P99_S)):
        print(f"{name:<26}{took_s * 1000:>5.1f} ms{most_s * 1000:>5.0f} ms{took_s / most_s:>7.2f}")


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("seconds", type=float, nargs="?", default=10.0)
    options.add_argument("--rounds", type=int, default=3)
    options.add_argument("--epochs", type=int, default=300)
    options.add_argument("--no-lateness", action="store_true")
    chosen = options.parse_args()
    sentences = len(circling(0).bodies())
    print(f"{COLUMNS}x{ROWS}, {chosen.rounds} x {chosen.seconds:g} s each, {sentences} sentences an epoch; medians")
    print_costs(costs(chosen.seconds, chosen.rounds))
    if not chosen.no_lateness:
        print_lateness(chosen.epochs)


if __name__ == "__main__":
    main()
