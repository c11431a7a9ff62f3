"""Microseconds a sentence, from bytes to fix, beside what pynmea2 takes for parsing alone.

Run from the project's folder: `python -m tests.benchmarks.sentences [RECORDING ...]`; without names, all recordings of
the folder that `FIXBOARD_RECORDINGS` names, and the demo. Both sides take turns, the best of seven runs counts: what
disturbs a run only ever makes it slower. Ours finds the sentences in the bytes, verifies, decodes and assembles them;
pynmea2 is given ready lines of text.
"""

from __future__ import annotations

import gzip
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from time import perf_counter

import pynmea2

from core.model import FixModel
from tests.recordings import FOLDER

RUNS = 7
PIECE = 4096
DEMO = Path(__file__).parents[2] / "replays" / "first_walk.nmea.gz"


def content(path: Path) -> bytes:
    """The bytes of a recording, plain or gzip."""
    data = path.read_bytes()
    return gzip.decompress(data) if data.startswith(b"\x1f\x8b") else data


def ours(data: bytes) -> FixModel:
    """Everything that becomes of the bytes of a recording."""
    model = FixModel(require_checksum=False)
    for n in range(0, len(data), PIECE):
        model.feed(data[n : n + PIECE], 0.0)
    model.finish()
    return model


def theirs(lines: list[str]) -> None:
    """Every line parsed, what fails passed over."""
    for line in lines:
        with suppress(pynmea2.ParseError, ValueError, TypeError, IndexError):
            pynmea2.parse(line)


def sentences(data: bytes) -> list[str]:
    """The text of each line from its `$` or `!` on."""
    lines = data.replace(b"\r", b"\n").split(b"\n")
    starts = ((line, max(line.find(b"$"), line.find(b"!"))) for line in lines)
    return [line[start:].decode("latin-1") for line, start in starts if start >= 0]


def seconds(work: Callable[[], object]) -> float:
    """How long it takes once."""
    start = perf_counter()
    work()
    return perf_counter() - start


def compare(data: bytes) -> tuple[float, float, int]:
    """Microseconds a sentence of ours and of theirs, and how many sentences."""
    lines = sentences(data)
    best_ours = best_theirs = float("inf")
    for _ in range(RUNS):
        best_ours = min(best_ours, seconds(lambda: ours(data)))
        best_theirs = min(best_theirs, seconds(lambda: theirs(lines)))
    return best_ours / len(lines) * 1e6, best_theirs / len(lines) * 1e6, len(lines)


def recordings(arguments: list[str]) -> list[Path]:
    """Those named; without any, all there are with enough sentences to measure."""
    if arguments:
        return [Path(argument) for argument in arguments]
    return [*sorted(path for path in FOLDER.glob("*.nmea") if path.stat().st_size > 50_000), DEMO]


def main() -> None:
    """Print one line a recording."""
    print(f"{'recording':46} {'sentences':>9} {'ours us':>8} {'pynmea2 us':>10} {'ratio':>6}")
    for path in recordings(sys.argv[1:]):
        mine, other, count = compare(content(path))
        print(f"{path.name:46} {count:9} {mine:8.2f} {other:10.2f} {mine / other:6.2f}")


if __name__ == "__main__":
    main()
