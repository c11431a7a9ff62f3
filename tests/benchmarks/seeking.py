"""Opening and seeking in a day at 1 Hz, as ratios to reading the file once with plain Python.

Run from the project's folder: `python -m tests.benchmarks.seeking [HOURS]` (24 by default; `gz` after it packs the
file). The recording is synthetic, fourteen sentences an epoch, written to a temporary folder; 24 hours are 1.2 million
sentences. Plain Python is `for line in open(...)`. The board is a feed with its thread and a listener that takes each
snapshot, as the screen does. Each run is a process of its own, so that its peak of memory is its own.
"""

from __future__ import annotations

import gzip
import random
import resource
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from time import perf_counter, sleep

from tests.benchmarks.digest import SKIES, moving, sky
from tests.build import gsv, lines

SEEKS = 40
SECOND_BYTES = 900
"""Of the recording, a little more than there are: nine tenths of the time are to be inside."""
PATIENCE_S = 600.0


def epochs(hours: float) -> Iterator[bytes]:
    """One second of fourteen sentences after the other."""
    skies = [sky(n) + more_sky(n) for n in range(SKIES)]
    for second in range(int(hours * 3600)):
        yield moving(second) + skies[second // 60 % SKIES]


def more_sky(n: int) -> bytes:
    """Two more systems."""
    cno = 25 + n % 20
    galileo = lines(gsv(1, 2, 1, 2, 3, 4, talker="GA", cno=cno), gsv(2, 2, 5, 6, 7, talker="GA", cno=cno))
    return galileo + lines(gsv(1, 2, 11, 12, 13, 14, talker="GB", cno=cno), gsv(2, 2, 15, 16, talker="GB", cno=cno))


class Board:
    """A feed, and a listener that takes what it is told of."""

    def __init__(self, path: Path) -> None:
        from core.sources.player import Player
        from tui.opening import Opening

        self.told = threading.Event()
        self.feed = Opening(path).feed(self.told.set)
        assert isinstance(self.feed.source, Player)
        self.player = self.feed.source
        self.feed.start()

    def wait(self) -> None:
        """Until there is something new, and take it."""
        assert self.told.wait(PATIENCE_S)
        self.told.clear()
        self.feed.take()

    def seek(self, at_s: float) -> float:
        """How long it takes until the picture of that moment is there."""
        begin = perf_counter()
        self.player.seek(at_s)
        while self.player.timeline().is_seeking:
            self.wait()
        self.feed.take()
        return perf_counter() - begin

    def survey(self) -> None:
        """Until all of it has been read."""
        begin = perf_counter()
        while not self.feed.survey().is_done and perf_counter() - begin < PATIENCE_S:
            sleep(0.05)


def seeks(board: Board) -> list[float]:
    """A seek to each of so many random moments."""
    dice, end_s = random.Random(1), board.player.timeline().duration_s or 0.0
    return sorted(board.seek(dice.uniform(0.0, end_s)) for _ in range(SEEKS))


def measure(path: Path) -> None:
    """All figures of one recording, in this process."""
    begin = perf_counter()
    with path.open("rb") if path.suffix != ".gz" else gzip.open(path, "rb") as stream:
        count = sum(1 for _ in stream)
    plain_s = perf_counter() - begin
    print(f"{count:,} sentences, {path.stat().st_size / 1e6:.0f} MB; plain Python reads it once in {plain_s:.2f} s")
    for name, seconds in measured(path):
        print(f"  {name:58} {seconds:8.3f} s  {seconds / plain_s:8.2f} times plain reading", flush=True)
    print(f"  peak of memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def measured(path: Path) -> Iterator[tuple[str, float]]:
    """Name and seconds of each."""
    begin = perf_counter()
    board = Board(path)
    board.wait()
    yield "first picture", perf_counter() - begin
    begin = perf_counter()
    yield "first seek, to 9/10, nothing indexed yet", board.seek(0.9 * path.stat().st_size / SECOND_BYTES)
    yield "the index is done, so long after the first picture", indexed_s(board, begin)
    early = seeks(board)
    yield "seek before the survey, median", median(early)
    yield "the same, longest", early[-1]
    board.survey()
    yield "the survey is done, so long after the first picture", perf_counter() - begin
    late = seeks(board)
    yield "seek after the survey, median", median(late)
    yield "the same, longest", late[-1]
    board.feed.stop()


def indexed_s(board: Board, begin: float) -> float:
    """How long after `begin` all of it is known."""
    while board.player.timeline().duration_s is None:
        sleep(0.01)
    return perf_counter() - begin


def main() -> None:
    """Write the recording, and measure in a process of its own."""
    if len(sys.argv) > 2 and sys.argv[1] == "--measure":
        measure(Path(sys.argv[2]))
        return
    hours = float(sys.argv[1]) if len(sys.argv) > 1 else 24.0
    with tempfile.TemporaryDirectory() as folder:
        packed = "gz" in sys.argv
        path = Path(folder) / ("day.nmea.gz" if packed else "day.nmea")
        with gzip.open(path, "wb", compresslevel=5) if packed else path.open("wb") as stream:
            for epoch in epochs(hours):
                stream.write(epoch)
        subprocess.run([sys.executable, "-m", "tests.benchmarks.seeking", "--measure", str(path)], check=True)


if __name__ == "__main__":
    main()
