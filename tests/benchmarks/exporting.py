"""Time and memory of exporting a long recording, beside reading the same file once for its digest.

Run from the project's folder: `python -m tests.benchmarks.exporting [HOURS]` (24 by default). The recording is that of
the benchmark `digest`: 1 Hz, ten sentences an epoch. Each export runs in a process of its own, so that its peak of
memory is its own; that it hardly grows from an hour to a day shows that nothing is held.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from time import perf_counter
from typing import NamedTuple

from tests.benchmarks.digest import epochs, ours

SENTENCES_A_SECOND = 10


class Run(NamedTuple):
    """What one side took."""

    made: int
    """Epochs or bytes."""
    seconds: float
    peak_mb: float


def exported(to: str, *more: str) -> Callable[[Path], int]:
    """Bytes of an export that goes nowhere; `more`: `every`, `simplify`, `trim`."""

    def run(path: Path) -> int:
        from core.accuracy import ErrorModel
        from core.export_plan import EVERYTHING, Every, Format, Plan
        from core.exporting import Outcome, Source, export
        from core.formats.track_text import About
        from core.sources.recording import open_recording

        plan = Plan(
            Format(to),
            every=Every(seconds=10.0) if "every" in more else EVERYTHING,
            simplify_m=5.0 if "simplify" in more else None,
            trim_m=200.0 if "trim" in more else None,
        )
        source = Source(lambda: open_recording(path), True, ErrorModel())
        return sum(map(len, export(source, plan, About("day"), Outcome())))

    return run


def judged(path: Path) -> int:
    """Every epoch with its verdict, nothing written: what an export cannot do without."""
    from core.epochs import EpochReader
    from core.sources.recording import open_recording

    return sum(1 for _ in EpochReader(open_recording(path), required=True).epochs())


SIDES: dict[str, Callable[[Path], int]] = {
    "digest": ours,
    "epochs": judged,
    "gpx": exported("gpx"),
    "kml": exported("kml"),
    "geojson": exported("geojson"),
    "csv": exported("csv"),
    "nmea": exported("nmea"),
    "nmea --every 10s": exported("nmea", "every"),
    "gpx --simplify 5m": exported("gpx", "simplify"),
    "gpx --trim-ends 200m": exported("gpx", "trim"),
}


def one_side(name: str, path: Path) -> None:
    """In a process of its own: count, seconds, peak in kB (as Linux counts it)."""
    start = perf_counter()
    count = SIDES[name](path)
    print(count, perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)


def measure(name: str, path: Path) -> Run:
    """One side."""
    command = [sys.executable, "-m", "tests.benchmarks.exporting", "--side", name, str(path)]
    count, seconds, peak = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return Run(int(count), float(seconds), int(peak) / 1024)


def written(folder: str, hours: float) -> Path:
    """The recording."""
    path = Path(folder) / f"{hours:g}.nmea"
    with path.open("wb") as stream:
        stream.writelines(epochs(hours))
    return path


def lines(hours: float, folder: str) -> Iterator[str]:
    """A line a side."""
    short, long = written(folder, min(1.0, hours)), written(folder, hours)
    million = hours * 3600 * SENTENCES_A_SECOND / 1e6
    yield f"{hours:g} h at 1 Hz: {long.stat().st_size / 1e6:.1f} MB, {million:.3f} million sentences"
    base: Run | None = None
    for name in SIDES:
        first, run = measure(name, short), measure(name, long)
        base = base or run
        grown = f"{first.peak_mb:5.1f} MB in the first hour, {run.peak_mb:5.1f} MB in all"
        yield f"{name:21} {run.seconds / million:7.1f} s/million  {run.seconds / base.seconds:5.2f} x digest   {grown}"


def main(hours: float) -> None:
    """Print them."""
    with tempfile.TemporaryDirectory() as folder:
        for line in lines(hours, folder):
            print(line, flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--side"]:
        one_side(sys.argv[2], Path(sys.argv[3]))
    else:
        main(float(sys.argv[1]) if len(sys.argv) > 1 else 24.0)
