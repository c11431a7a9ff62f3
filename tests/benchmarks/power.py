"""What saving power saves: CPU, wake-ups and bytes to the terminal at 10 Hz, with and without, as ratios.

Run from the project's folder: `python -m tests.benchmarks.power [SECONDS]` (10 by default, each of six runs). Feed and
terminal are those of tests.benchmarks.board, course-up, so that everything turns. The runs take turns, so that what
else the machine does falls on both. CPU is that of the whole process, reading and judging included, which saving does
not touch. Nothing here is a test, because a loaded machine would make it fail.
"""

from __future__ import annotations

import sys
from statistics import median

from tests.benchmarks.board import COURSE_UP, SAVING, Case, Cost, measure

HERTZ = 10
ROUNDS = 3
USUAL = Case("usual", HERTZ, COURSE_UP, 0.10)
SAVED = Case("saving", HERTZ, COURSE_UP + SAVING, 0.005)


def main() -> int:
    """Print the figures and their ratios."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 10.0
    found: dict[Case, list[Cost]] = {USUAL: [], SAVED: []}
    for _ in range(ROUNDS):
        for case, runs in found.items():
            runs.append(measure(case, seconds))
    print(f"{HERTZ} Hz, course-up, {ROUNDS} x {seconds:g} s each, medians")
    figures = {case: tuple(median(values) for values in zip(*runs, strict=True)) for case, runs in found.items()}
    for case, (cpu, written, woken, _) in figures.items():
        print(f"{case.name:<8}{cpu:>8.2%} of a core{written:>12,.0f} bytes/s{woken:>8.1f} wake-ups/s")
    cpu, written, woken = (figures[SAVED][n] / figures[USUAL][n] for n in range(3))
    print(f"saving takes {cpu:.2f} of the CPU, {written:.2f} of the bytes and {woken:.2f} of the wake-ups")
    return 0


if __name__ == "__main__":
    sys.exit(main())
