"""What the board costs while it runs: CPU and bytes to the terminal, in a pty of 120x40, fed at 1 and 10 Hz.

Run from the project's folder: `python -m tests.benchmarks.board [SECONDS]` (20 by default, each of four runs). CPU is
that of the whole process from two seconds after its start on, in per cent of one core. The feed is invented: ten
sentences an epoch, a receiver that goes round a circle once a minute. Nothing here is a test, because a loaded machine
would make it fail.
"""

from __future__ import annotations

import fcntl
import os
import pty
import resource
import select
import struct
import sys
import tempfile
import termios
import threading
import time
from math import cos, pi, sin
from pathlib import Path
from typing import NamedTuple

from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus
from core.waypoints import Waypoint
from tests.build import lines
from tests.tui.support import ISLE, Epoch, ScriptedOpening, ScriptedSource, board_app
from tui.state import Orientation

ROWS, COLUMNS = 40, 120
SETTLE_S = 2.0
"""Start-up and the first paints are another benchmark's business."""
MORE = ("GNVTG,90.0,T,,M,2.9,N,5.4,K,A", "GNGST,,7.5,,,,0.6,0.5,1.2", "GNGLL,1030.0000,N,02015.0000,W,,A,A")


class Case(NamedTuple):
    """One run."""

    hertz: int
    orientation: Orientation


class Cost(NamedTuple):
    """What it took."""

    cpu_share: float
    bytes_per_s: float


CASES = [Case(hertz, up) for hertz in (1, 10) for up in (Orientation.NORTH_UP, Orientation.COURSE_UP)]


class Circling(ScriptedSource):
    """An epoch every so often, for ever: a walk round a circle, signals that change a little."""

    def __init__(self, hertz: int) -> None:
        super().__init__((), SourceStatus(SourceKind.LIVE, "invented", SourceState.RECEIVING))
        self._period_s = 1 / hertz
        self._number = 0
        self._begun_s = time.monotonic()
        self._stop = threading.Event()

    def read(self, timeout_s: float) -> Arrival | None:
        """The next epoch when its time has come."""
        due_s = self._begun_s + self._number * self._period_s
        if self._stop.wait(min(timeout_s, max(0.0, due_s - time.monotonic()))) or time.monotonic() < due_s:
            return None
        epoch = circling(self._number * self._period_s)
        self._number += 1
        return Arrival(lines(*epoch.bodies()), time.monotonic())

    def now_s(self) -> float:
        """The room's clock, as for any receiver."""
        return time.monotonic()

    def close(self) -> None:
        """End every wait."""
        self._stop.set()
        super().close()


def circling(second: float) -> Epoch:
    """Where the circle is after so many seconds."""
    angle = second / 60 * 2 * pi
    north, west = 30 + 0.02 * cos(angle), 15 - 0.02 * sin(angle)
    sky = (
        f"GPGSV,2,1,08,05,45,090,{41 + int(second) % 3},07,30,180,38,13,60,270,{44 - int(second) % 2},15,12,010,33",
        "GPGSV,2,2,08,20,22,045,35,24,75,200,46,28,18,310,,30,50,120,42",
        f"GAGSV,1,1,03,04,30,240,{40 + int(second) % 4},09,65,330,45,11,10,100,27",
    )
    return Epoch(
        second=second,
        place=f"10{north:07.4f},N,020{west:07.4f},W",
        course=f"{(second * 6 + 90) % 360:.1f}",
        altitude=f"{12.5 + sin(angle):.1f}",
        sky=sky,
        more=MORE,
    )


def run_board(case: Case) -> None:
    """In the child: the real app on its terminal, until it is asked to quit."""
    app = board_app(Path(tempfile.mkdtemp()), ScriptedOpening(Circling(case.hertz), "invented"))

    def begin() -> None:
        target: Waypoint = ISLE
        app.board.state = app.state.changed(orientation=case.orientation, target=target)

    app.call_later(begin)
    app.run()


def measure(case: Case, seconds: float) -> Cost:
    """Run the board in a pty of its own; count what it writes and what the child has used."""
    child, terminal = pty.fork()
    if child == 0:
        _child(case)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
    _drain(terminal, SETTLE_S)
    before_s = _cpu_s(child)
    count = _drain(terminal, seconds)
    used_s = _cpu_s(child) - before_s
    os.write(terminal, b"q")
    _drain(terminal, 1.0)
    os.close(terminal)
    os.waitpid(child, 0)
    return Cost(used_s / seconds, count / seconds)


def _child(case: Case) -> None:
    os.environ |= {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LINES": str(ROWS), "COLUMNS": str(COLUMNS)}
    try:
        run_board(case)
    finally:
        os._exit(0)


def _drain(terminal: int, seconds: float) -> int:
    """Read as fast as it writes, as a terminal does; how many bytes came."""
    count, end_s = 0, time.monotonic() + seconds
    while (left_s := end_s - time.monotonic()) > 0:
        if not select.select([terminal], [], [], left_s)[0]:
            break
        try:
            count += len(os.read(terminal, 65_536))
        except OSError:  # the child has gone
            break
    return count


def _cpu_s(child: int) -> float:
    """User and system time so far, from the kernel's account of the process (proc(5), fields 14 and 15 of stat)."""
    fields = Path(f"/proc/{child}/stat").read_text().rsplit(")", maxsplit=1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> int:
    """Print the table."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    print(f"{COLUMNS}x{ROWS}, {seconds:.0f} s each, {len(circling(0).bodies())} sentences an epoch")
    print(f"{'feed':<8}{'compass':<14}{'CPU % of a core':>16}{'bytes/s':>12}")
    for case in CASES:
        cost = measure(case, seconds)
        print(f"{case.hertz:>2} Hz   {case.orientation.value:<14}{cost.cpu_share:>16.1%}{cost.bytes_per_s:>12,.0f}")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"largest board: {peak:.0f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
