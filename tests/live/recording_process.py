"""A recorder in a process of its own, to be killed: records a walk, and says each burst that it has handed over."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from core.logbook import Recorder, RecorderOptions
from core.sources.source import Arrival
from core.sources.wall import WallAnchor
from tests.wire import burst


def main(folder: str, largest: str, compress: str, pause_s: str) -> None:
    """Record until killed."""
    options = RecorderOptions(Path(folder), least_free=0, largest_file=int(largest), compress=compress == "compress")
    recorder = Recorder(options, WallAnchor(1_935_662_400_000, time.monotonic()))
    recorder.start()
    for number in range(10**6):
        recorder.offer(Arrival(burst(number), time.monotonic()))
        print(number, time.monotonic(), flush=True)
        time.sleep(float(pause_s))


if __name__ == "__main__":
    main(*sys.argv[1:])
