"""Sides of a comparison, each in a process of its own, so that its peak of memory is its own."""

from __future__ import annotations

import resource
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from time import perf_counter
from typing import NamedTuple

Side = Callable[[Path], int]


class Taken(NamedTuple):
    """What one side took."""

    made: int
    """Or read: it says what."""
    seconds: float
    peak_mb: float


def one_side(side: Side, path: Path) -> None:
    """In the process of its own: print count, seconds, peak in kB (as Linux counts it)."""
    start = perf_counter()
    count = side(path)
    print(count, perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)


def measure(module: str, name: str, path: Path) -> Taken:
    """The side of this name; `module` answers `--side NAME PATH` by `one_side`."""
    command = [sys.executable, "-m", module, "--side", name, str(path)]
    count, seconds, peak = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return Taken(int(count), float(seconds), int(peak) / 1024)


def compared(module: str, path: Path, counted: Mapping[str, str]) -> dict[str, Taken]:
    """Print a line a side; `counted` says, by the side's name, what it made or read."""
    width, found = max(map(len, counted.values())), {}
    for name, what in counted.items():
        found[name] = one = measure(module, name, path)
        print(f"{name:8} {one.made:9,} {what:{width}} {one.seconds:7.2f} s   peak {one.peak_mb:6.1f} MB", flush=True)
    return found
