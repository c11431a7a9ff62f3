"""Millions of damaged sentences through framing, decoding, epochs and the model, each Fix looked at.

`python -m tests.faults.fuzz_sentences [--count 10000000] [--seed 1] [--lives 10]`. The run is divided into lives, each
with a model of its own: every tenth, the second first, has everything on (verdict, guidance, totals, averaging, sky,
clock), which takes four times as long; the others are bare. Prints what came of it; where anything broke it raises, and
writes the piece into `--keep`.
"""

from __future__ import annotations

import argparse
import random
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter
from typing import NamedTuple

from core.digest import Digest
from core.fix import Fix
from core.model import FixModel
from tests.build import gga, gll, gsa, gst, gsv, line, rmc, vtg, zda
from tests.faults.damage import Damager
from tests.faults.fuzz_sentences_checks import MOST_HELD, check_counts, check_cuts, check_drawn, check_fix, held
from tests.faults.fuzz_sentences_targets import furnished

BLOCK = 400
"""Lines fed between two looks at the counts."""
FURNISHED_EVERY = 10
DRAWN_EVERY, CUT_EVERY = 25, 50
"""Blocks between two looks at what commands make of the state, and between two comparisons of cuts."""
LINES_A_SECOND = 12.0
DAYS = ((86_100, "311226"), (0, "010127"), (43_000, "280228"), (86_390, "290228"))
"""Seconds of the day and dates at which the invented receiver sends: a year's end and a leap day are in it."""


class Report(NamedTuple):
    """What came of a run."""

    sentences: int
    damaged: int
    fixes: int
    with_position: int
    reasons: Counter[str]
    seconds: float
    most_held: int
    """Entries in the bounded parts of a model, the most at any look; `MOST_HELD` would be too many."""


def receiver() -> list[bytes]:
    """An invented receiver that sends all that fixboard reads, over midnight and year's end, ten minutes in all."""
    return [line(body) for began, day in DAYS for second in range(150) for body in _epoch(began + second, day)]


def _epoch(second: int, day: str) -> Iterator[str]:
    at, place = second % 86_400, f"10{second % 60:02d}.{second % 7}000,N,020{second % 59:02d}.1000,W"
    day = day if second < 86_400 else {"311226": "010127", "290228": "010328"}.get(day, day)
    for body in (rmc(at, day), gga(at), gll(at)):
        yield body.replace("1030.0000,N,02015.0000,W", place)
    yield from (
        gst(at),
        vtg(),
        zda(at, f"{day[:2]},{day[2:4]},20{day[4:]}"),
        gsa(5, 6, 7, 8, system="1"),
        gsa(66, system="2"),
    )
    yield from (
        gsv(1, 2, 5, 6, 7, 8, cno=30 + second % 15),
        gsv(2, 2, 9, cno=20),
        gsv(1, 1, 66, talker="GL", signal="1"),
    )
    if second % 5 == 0:
        yield from ("GNGNS,,,,,,NN,00,,,,,,V", "HEHDT,90.0,T", "GNDTM,W84,,0,N,0,E,0,W84", "GNTXT,01,01,02,hello")


class _Life:
    """One model and what has come of it."""

    def __init__(self, number: int) -> None:
        self.digest = Digest() if number % FURNISHED_EVERY == 1 else None
        self.model = furnished(self.digest) if self.digest else FixModel(require_checksum=number % 2 == 0)
        self.finished = 0
        self.at_s = 0.0

    def take(self, block: bytes, dice: random.Random) -> list[Fix]:
        """In a few pieces; every Fix looked at."""
        cuts = sorted(dice.randrange(len(block) + 1) for _ in range(dice.randrange(4)))
        fixes = []
        for begin, end in zip([0, *cuts], [*cuts, len(block)], strict=True):
            self.at_s += (end - begin) / 60.0 / LINES_A_SECOND
            fixes += self.model.feed(block[begin:end], self.at_s)
        for fix in fixes:
            check_fix(fix)
        self.finished += len(fixes)
        check_counts(self.model.snapshot(), self.finished)
        return fixes


def run(count: int, seed: int, lives: int = 10, keep: Path | None = None) -> Report:
    """So many damaged sentences, and a tenth as many sound ones. Raises what breaks, the piece as a file in `keep`."""
    sound = receiver()
    total = Report(0, 0, 0, 0, Counter(), 0.0, 0)
    began = perf_counter()
    for number in range(lives):
        damager = Damager(sound, seed * 1000 + number, sound=0.1)
        total = _lived(_Life(number), damager, (count // lives, keep), total)
    return total._replace(seconds=perf_counter() - began)


def _lived(life: _Life, damager: Damager, wanted: tuple[int, Path | None], total: Report) -> Report:
    count, keep = wanted
    dice = random.Random(count)
    sentences = with_position = most_held = blocks = 0
    while damager.damaged < count:
        block = damager.block(BLOCK)
        try:
            fixes = life.take(block, dice)
            if blocks % DRAWN_EVERY == 0:
                check_drawn(life.model, life.digest)
            if blocks % CUT_EVERY == 0:
                check_cuts(block, sorted(dice.randrange(len(block) + 1) for _ in range(40)))
            most_held = max(most_held, held(life.model))
            assert most_held <= MOST_HELD
        except BaseException:
            if keep:
                keep.write_bytes(block)
            raise
        blocks += 1
        sentences += BLOCK
        with_position += sum(fix.position is not None for fix in fixes)
    life.finished += len(life.model.finish())
    check_counts(life.model.snapshot(), life.finished)
    check_drawn(life.model, life.digest)
    return Report(
        total.sentences + sentences,
        total.damaged + damager.damaged,
        total.fixes + life.finished,
        total.with_position + with_position,
        total.reasons + Counter({str(one): n for one, n in life.model.snapshot().counts.rejected.items()}),
        0.0,
        max(total.most_held, most_held),
    )


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.faults.fuzz_sentences", description="Damage without end.")
    parser.add_argument("--count", type=int, default=10_000_000, help="damaged sentences")
    parser.add_argument("--seed", type=int, default=1, help="of the dice")
    parser.add_argument("--lives", type=int, default=10, help="models in turn; every tenth with everything on")
    parser.add_argument("--keep", type=Path, default=Path("broke.nmea"), help="file for the piece that broke it")
    options = parser.parse_args()
    import resource  # POSIX, and only people ask for the peak

    report = run(options.count, options.seed, options.lives, options.keep)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{report.sentences} sentences, {report.damaged} of them damaged: nothing escaped")
    print(f"{report.fixes} epochs, {report.with_position} with a position; refused: {dict(report.reasons)}")
    print(f"{report.sentences / report.seconds:.0f} sentences a second, looked at as they came")
    print(f"{report.most_held} entries held at most ({MOST_HELD} allowed); {peak_mb:.0f} MB at most in memory")


if __name__ == "__main__":
    main()
