"""Time, memory and size of the report of a long recording, beside the digest of the same.

Run from the project's folder: `python -m tests.benchmarks.report [HOURS]` (24 by default). The recording is that of the
digest's benchmark. Each side runs in a process of its own, so that its peak of memory is its own.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

from tests.benchmarks.digest import epochs


def report(path: Path) -> int:
    """The page's size in bytes."""
    from core.accuracy import ErrorModel
    from core.report.collect import Plan, collect
    from core.report.page import page
    from core.sources.recording import open_recording

    recording = open_recording(path)
    found = page(collect(recording, Plan(True, False, ErrorModel())), "0")
    recording.close()
    return len(found.encode())


def digest(path: Path) -> int:
    """How many sentences."""
    from core.digest import digest as work_out
    from core.sources.recording import open_recording

    recording = open_recording(path)
    found = work_out(recording.blocks(), True, lambda: None)
    recording.close()
    return int(found["sentences"]["good"])


SIDES = {"report": report, "digest": digest}


def one_side(name: str, path: Path) -> None:
    """In a process of its own: size or count, seconds, peak in kB (as Linux counts it)."""
    start = perf_counter()
    count = SIDES[name](path)
    print(count, perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)


def measure(name: str, path: Path) -> tuple[int, float, float]:
    """Size or count, seconds and MB of one side."""
    command = [sys.executable, "-m", "tests.benchmarks.report", "--side", name, str(path)]
    count, seconds, peak = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return int(count), float(seconds), int(peak) / 1024


def main(hours: float) -> None:
    """A line a side, and how many times as long the report takes."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "day.nmea"
        with path.open("wb") as stream:
            stream.writelines(epochs(hours))
        taken = {}
        for name, counted in (("report", "bytes of HTML"), ("digest", "sentences")):
            count, taken[name], peak = measure(name, path)
            print(f"{name:8} {count:9,} {counted:14} {taken[name]:7.2f} s   peak {peak:6.1f} MB")
        print(f"ratio {taken['report'] / taken['digest']:.2f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--side"]:
        one_side(sys.argv[2], Path(sys.argv[3]))
    else:
        main(float(sys.argv[1]) if len(sys.argv) > 1 else 24.0)
