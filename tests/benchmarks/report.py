"""Time, memory and size of the report of a long recording, beside the digest of the same.

Run from the project's folder: `python -m tests.benchmarks.report [HOURS]` (24 by default). The recording is that of the
digest's benchmark. Each side runs in a process of its own, so that its peak of memory is its own.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.benchmarks.digest import epochs
from tests.benchmarks.sides import compared, one_side


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


def main(hours: float) -> None:
    """A line a side, and how many times as long the report takes."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "day.nmea"
        with path.open("wb") as stream:
            stream.writelines(epochs(hours))
        taken = compared("tests.benchmarks.report", path, {"report": "bytes of HTML", "digest": "sentences"})
        print(f"ratio {taken['report'].seconds / taken['digest'].seconds:.2f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--side"]:
        one_side(SIDES[sys.argv[2]], Path(sys.argv[3]))
    else:
        main(float(sys.argv[1]) if len(sys.argv) > 1 else 24.0)
