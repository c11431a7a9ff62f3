"""What the trip's totals make of recordings, beside the plain sum of all steps; and what they cost in a digest.

Run from the project's folder: `python -m tests.benchmarks.totals [FILE...]`. Without files, the recordings of
FIXBOARD_RECORDINGS that hold a position. Raw is the digest's `distance_raw_m`; truth the same sum as another library
has it (truth.json); "of usable" the same sum over steps between two usable fixes. The last column is the time that the
totals take of the digest's.
"""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path
from time import perf_counter
from typing import NamedTuple

from core.accuracy import ErrorModel
from core.digest import Digest
from core.judgement import Judgement
from core.model import Finished, FixModel
from core.places.geodesic import distance_m
from core.sources.recording import has_checksums, open_recording
from core.trip import Totals, TripMeter
from core.trust import Verdict
from tests.recordings import FOLDER, truth

HEAD = (
    f"{'recording':42} {'fixes':>6} {'usable':>6} {'truth m':>8} {'raw m':>8} {'of usable':>9} {'honest m':>8} "
    f"{'moving':>6} {'stopped':>7} {'gap s':>7} {'gaps':>4} {'jumps':>5} "
    f"{'up m':>9} {'down m':>9} {'m/s':>5} {'share':>6}"
)


class Taken(NamedTuple):
    """Of one recording."""

    digest: dict[str, object]
    totals: Totals
    usable: int
    usable_m: float
    share: float


def taken(path: Path) -> Taken:
    """A digest, and a meter of our own fed with the same epochs, timed."""
    epochs: list[Finished] = []
    result = Digest()
    recording = open_recording(path)
    model = FixModel(has_checksums(path), epochs.append, Judgement(ErrorModel()))
    start = perf_counter()
    for block in recording.blocks():
        model.feed(block, 0.0)
    model.finish()
    for epoch in epochs:
        result.add(epoch)
    whole_s = perf_counter() - start
    recording.close()
    meter, meter_s = _metered(epochs)
    return Taken(result.as_json(model.snapshot().counts), meter.totals(), *_of_usable(epochs), meter_s / whole_s)


def _metered(epochs: list[Finished]) -> tuple[TripMeter, float]:
    meter = TripMeter()
    start = perf_counter()
    for epoch in epochs:
        evidence = epoch.trust.evidence
        meter.take(epoch.fix, evidence.at_s if evidence else 0.0, _usable(epoch))
    seconds = perf_counter() - start
    meter.finish()
    return meter, seconds


def _of_usable(epochs: list[Finished]) -> tuple[int, float]:
    """How many, and the sum of the steps between two in a row."""
    steps = pairwise(epoch for epoch in epochs if epoch.fix.position)
    good = [(a.fix.position, b.fix.position) for a, b in steps if _usable(a) and _usable(b)]
    return sum(map(_usable, epochs)), sum(distance_m(a, b) for a, b in good if a and b)


def _usable(epoch: Finished) -> bool:
    return epoch.fix.is_satellite_fix and epoch.trust.verdict >= Verdict.USABLE


def row(path: Path, others_m: float | None) -> str:
    """One line of the table."""
    found = taken(path)
    t, raw = found.totals, found.digest["distance_raw_m"]
    up, down = (f"{low:.0f}-{high:.0f}" if t.climb_known else "-" for low, high in (t.ascent_m, t.descent_m))
    return (
        f"{path.name[:42]:42} {found.digest['epochs_with_fix']:6} {found.usable:6} "
        f"{_metres(others_m):>8} {_metres(raw):>8} {found.usable_m:9.1f} {_metres(found.digest['distance_m']):>8} "
        f"{t.moving_s:6.0f} {t.stopped_s:7.0f} {t.gap_s:7.0f} {t.gaps:4} {t.jumps:5} {up:>9} {down:>9} "
        f"{'-' if t.fastest_mps is None else format(t.fastest_mps, '.1f'):>5} {found.share:6.1%}"
    )


def _metres(value: object) -> str:
    return f"{value:.1f}" if isinstance(value, int | float) else "-"


def main(paths: list[Path]) -> None:
    """Print the table."""
    known = truth()
    print(HEAD)
    for path in paths or sorted(FOLDER / name for name in known):
        others = known.get(path.name, {}).get("pynmea2", {})
        if path.is_file() and (paths or others.get("valid_positions")):
            print(row(path, others.get("distance_m")))


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]])
