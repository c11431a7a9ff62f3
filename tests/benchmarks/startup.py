"""From exec to the first paint of `fixboard demo`, beside the smallest Textual app there can be.

Run from the project's folder: `python -m tests.benchmarks.startup`. Both run on a pseudo terminal of 120 by 40 and take
turns; the median of nine counts. The first paint is the first text on the other screen: escape sequences are not
counted. It is the first frame (`tui/starting.py`); the full picture, with every pane drawn and the recording opened,
stands beside it, and two commands without a screen, from exec to exit, one of them on a recording of a few seconds.

One run of each goes before, uncounted, and leaves compiled modules behind, as an installation does: the runs that count
write none, so that without it each would compile again what has been edited since.

The time that the process had a processor is printed too, where the system tells it (Linux): on a computer that others
use as well it is the steadier of the two.
"""

from __future__ import annotations

import gzip
import re
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import NamedTuple

from tests.cli.running import DEMO, command, environment
from tests.cli.terminal import Terminal

RUNS = 9
BARE = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("the smallest app that shows a line of text")
Bare().run()
"""
ESCAPES = re.compile(rb"\x1b(?:\[[0-?]*[ -/]*[@-~]|[\]P_][^\x07\x1b]*(?:\x07|\x1b\\)|[ -/]*[0-~])")
OTHER_SCREEN = b"\x1b[?1049h"

Until = Callable[[Terminal], bool]


class Taken(NamedTuple):
    """What one run took, in milliseconds."""

    wall: float
    processor: float
    """0 where the system does not tell, and once it has ended."""


def painted(terminal: Terminal) -> bool:
    """Whether text has appeared on the other screen."""
    _, found, after = terminal.seen.partition(OTHER_SCREEN)
    return bool(found) and len(ESCAPES.sub(b"", after).split()) >= 3


def replays(terminal: Terminal) -> bool:
    """Whether the board says what it shows."""
    return b"REPLAY" in terminal.seen


def run(program: list[str], folder: Path, until: Until, **more: str) -> Taken:
    """From exec until the screen is so; `more`: for the environment."""
    start = perf_counter()
    terminal = Terminal(program, environment(folder, COLORTERM="truecolor", **more))
    try:
        terminal.look(lambda: until(terminal), 0.002)
        return Taken((perf_counter() - start) * 1000, _processor_ms(terminal.process.pid))
    finally:
        terminal.close()


def _processor_ms(process: int) -> float:
    """Of all its threads, while it runs (schedstat's first figure: nanoseconds; Linux's scheduler statistics)."""
    try:
        threads = [one.read_text() for one in Path(f"/proc/{process}/task").glob("*/schedstat")]
    except OSError:
        return 0.0
    return sum(int(one.split()[0]) for one in threads) / 1e6


def main() -> None:
    """Print the medians, in milliseconds, and their ratios to the bare app's."""
    demo = command(["demo", "first_walk"])
    scenes: dict[str, tuple[list[str], Until]] = {
        "bare Textual": ([sys.executable, "-c", BARE], painted),
        "first paint": (demo, painted),
        "full picture": (demo, replays),
        "fixboard --help": (command(["--help"]), Terminal.ended),
    }
    with tempfile.TemporaryDirectory() as folder:
        short = Path(folder, "seconds.nmea")
        short.write_bytes(b"".join(gzip.decompress(DEMO.read_bytes()).splitlines(keepends=True)[:60]))
        scenes["fixboard now"] = command(["now", "--from", short]), Terminal.ended
        taken: dict[str, list[Taken]] = {name: [] for name in scenes}
        for program, until in scenes.values():
            run(program, Path(folder), until, PYTHONDONTWRITEBYTECODE="")
        for _ in range(RUNS):
            for name, (program, until) in scenes.items():
                taken[name].append(run(program, Path(folder), until))
    base = _medians(taken["bare Textual"])
    for name, times in taken.items():
        found = _medians(times)
        ratio, of_processor = (a / b if b else 0.0 for a, b in zip(found, base, strict=True))
        best = min(one.wall for one in times)
        processor = (
            f"   on a processor {found.processor:6.0f} ms   ratio {of_processor:5.2f}" if found.processor else ""
        )
        print(f"{name:16} median {found.wall:6.0f} ms   ratio {ratio:5.2f}   best {best:6.0f} ms{processor}")


def _medians(times: list[Taken]) -> Taken:
    return Taken(median(one.wall for one in times), median(one.processor for one in times))


if __name__ == "__main__":
    main()
