"""What saving power saves: CPU and bytes to the terminal at 10 Hz, with and without, as ratios.

Run from the project's folder: `python -m tests.benchmarks.power [SECONDS]` (20 by default, each of four runs). Feed and
terminal are those of `tests.benchmarks.board`, course-up, so that the compass turns. The runs take turns, so that
what else the machine does falls on both. CPU is that of the whole process, reading and judging included, which saving
does not touch. Nothing here is a test, because a loaded machine would make it fail.
"""

from __future__ import annotations

import sys
from pathlib import Path
from statistics import fmean
from tempfile import mkdtemp

from tests.benchmarks import board
from tests.benchmarks.board import Case, Circling, Cost, measure
from tests.tui.support import ISLE, ScriptedOpening, board_app
from tui.state import Orientation

HERTZ = 10
ROUNDS = 2


def run_board(case: Case, *, saves: bool) -> None:
    """In the child: the real app on its terminal, drawing everything, or saving from the start."""
    app = board_app(Path(mkdtemp()), ScriptedOpening(Circling(case.hertz), "invented"))
    app.animation_level = "full"

    def begin() -> None:
        app.board.state = app.state.changed(orientation=case.orientation, target=ISLE)
        if saves:
            app.action_toggle_saving()

    app.call_later(begin)
    app.run()


def cost(seconds: float, *, saves: bool) -> Cost:
    """Of one run, by the means of the other benchmark."""
    board.run_board = lambda case: run_board(case, saves=saves)
    return measure(Case(HERTZ, Orientation.COURSE_UP), seconds)


def main() -> int:
    """Print the figures and their ratios."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    usual, saving = [], []
    for _ in range(ROUNDS):
        usual.append(cost(seconds, saves=False))
        saving.append(cost(seconds, saves=True))
    print(f"{board.COLUMNS}x{board.ROWS}, {HERTZ} Hz, course-up, {ROUNDS} x {seconds:.0f} s each")
    for name, runs in (("usual", usual), ("saving", saving)):
        cpu, written = fmean(one.cpu_share for one in runs), fmean(one.bytes_per_s for one in runs)
        print(f"{name:<8}{cpu:>8.1%} of a core{written:>12,.0f} bytes/s")
    ratio = fmean(one.cpu_share for one in saving) / fmean(one.cpu_share for one in usual)
    thinner = fmean(one.bytes_per_s for one in saving) / fmean(one.bytes_per_s for one in usual)
    print(f"saving takes {ratio:.2f} of the CPU and {thinner:.2f} of the bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
