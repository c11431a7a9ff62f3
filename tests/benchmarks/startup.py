"""From exec to the first paint of `fixboard demo`, beside the smallest Textual app there can be.

Run from the project's folder: `python -m tests.benchmarks.startup`. Both run on a pseudo terminal of 120 by 40 and take
turns; the median of nine counts. The first paint is the first text on the other screen: escape sequences are not
counted. The time until the board says REPLAY, with its recording open, stands beside it.

One run of each goes before, uncounted, and leaves compiled modules behind, as an installation does: the runs that count
write none, so that without it each would compile again what has been edited since.
"""

from __future__ import annotations

import re
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

from tests.cli.running import command, environment
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


def painted(seen: bytes | bytearray) -> bool:
    """Whether text has appeared on the other screen."""
    _, found, after = seen.partition(OTHER_SCREEN)
    return bool(found) and len(ESCAPES.sub(b"", after).split()) >= 3


def replays(seen: bytes | bytearray) -> bool:
    """Whether the board says what it shows."""
    return b"REPLAY" in seen


def seconds(program: list[str], folder: Path, until: Callable[[bytearray], bool], **more: str) -> float:
    """From exec until the screen is so; `more`: for the environment."""
    start = perf_counter()
    terminal = Terminal(program, environment(folder, COLORTERM="truecolor", **more))
    try:
        terminal.look(lambda: until(terminal.seen), 0.002)
        return perf_counter() - start
    finally:
        terminal.close()


def main() -> None:
    """Print the medians, in milliseconds, and their ratio."""
    bare, demo = [sys.executable, "-c", BARE], command(["demo", "first_walk"])
    scenes = {
        "bare Textual": (bare, painted),
        "fixboard, first paint": (demo, painted),
        "fixboard, REPLAY": (demo, replays),
    }
    taken: dict[str, list[float]] = {name: [] for name in scenes}
    with tempfile.TemporaryDirectory() as folder:
        for program, until in scenes.values():
            seconds(program, Path(folder), until, PYTHONDONTWRITEBYTECODE="")
        for _ in range(RUNS):
            for name, (program, until) in scenes.items():
                taken[name].append(seconds(program, Path(folder), until) * 1000)
    base = median(taken["bare Textual"])
    for name, times in taken.items():
        print(
            f"{name:24} median {median(times):6.0f} ms   best {min(times):6.0f} ms   ratio {median(times) / base:5.2f}"
        )


if __name__ == "__main__":
    main()
