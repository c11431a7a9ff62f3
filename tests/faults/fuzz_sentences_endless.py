"""Streams that never come to an end, and what a model keeps of them.

`python -m tests.faults.fuzz_sentences_endless KIND MEGABYTES` feeds a model a first megabyte, then the rest, and prints
the peak of this process's memory in megabytes after each: what is kept of an endless stream has been kept by the first.
A process of its own, since a peak never falls.
"""

from __future__ import annotations

import itertools
import sys
from collections.abc import Callable, Iterator

from core.accuracy import ErrorModel
from core.judgement import Judgement
from core.model import FixModel
from core.sky_memory import SkyMemory
from tests.build import gsv, lines
from tests.faults.fuzz_sentences_checks import MOST_HELD, check_counts, check_drawn, check_fix, held
from tests.faults.fuzz_sentences_targets import furnished

PIECE = 65_536
PER_MB = 1024.0 * 1024.0
KB_OF_MAXRSS = 1 if sys.platform == "darwin" else 1024
"""ru_maxrss is bytes there and kilobytes elsewhere (getrusage(2))."""


def _same(data: bytes) -> Callable[[], Iterator[bytes]]:
    return lambda: itertools.repeat(data * (PIECE // len(data)))


def _made(bodies: Callable[[int], list[str]]) -> Callable[[], Iterator[bytes]]:
    """Sentences by number, some at a time."""
    return lambda: (lines(*[body for n in range(at, at + 500) for body in bodies(n)]) for at in itertools.count(0, 500))


def _talker(n: int) -> str:
    return f"{chr(65 + n % 26)}{'ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789'[n // 26 % 36]}"


def _clock(n: int) -> str:
    return f"{n // 3600 % 24:02d}{n // 60 % 60:02d}{n % 60:02d}"


ENDLESS: dict[str, Callable[[], Iterator[bytes]]] = {
    "no line end": _same(b"A"),
    "one number without end": _same(b"7"),
    "one sentence without end": lambda: itertools.chain([b"$GPGGA,"], itertools.repeat(b"1" * PIECE)),
    "fields without end": lambda: itertools.chain([b"$GPGSV,"], itertools.repeat(b"," * PIECE)),
    "zero bytes": _same(b"\x00"),
    "line ends": _same(b"\r\n"),
    "dollars": _same(b"$"),
    "exclamation marks": _same(b"!"),
    "starts of sentences": _same(b"$GPGGA,"),
    "starts behind exclamation marks": _same(b"!AIVDM,"),
    "stars": _same(b"$GPGGA*"),
    "backslashes": _same(b"\\"),
    "tag blocks": _same(b"\\c:1*68\\"),
    "tag blocks that open only": _same(b"\\c:"),
    "tag blocks on lines": _same(b"\\g:1-2-3,s:x,c:1700000000*00\\\r\n"),
    "host times": _same(b"2026-11-26T09:45:00.123Z "),
    "binary": _same(bytes(range(256))),
    "groups that never close": _made(lambda n: [gsv(1, 9, 5, 6, 7, 8, talker=_talker(n), signal=f"{n % 16:X}")]),
    "pages out of order": _made(lambda n: [gsv(99 - n % 99, 99, n % 32 + 1, signal=f"{n // 99 % 16:X}")]),
    "an epoch that never ends": _made(lambda n: [f"{_talker(n)}GGA,120000.00,,,,,0,00,,,M,,M,,"]),
    "an epoch that never ends, with satellites": _made(
        lambda n: [f"{_talker(n)}RMC,120000.00,V,,,,,,,,,,N", gsv(n % 99 + 1, 99, n % 32 + 1, talker=_talker(n))]
    ),
    "anchors without a time": _made(lambda n: [f"{_talker(n)}ZDA,,,,,,", f"{_talker(n)}GST,,,,,,,,"]),
    "made-up types": _made(lambda n: [f"Z{n % 10**8:08d},{n}"]),
    "texts as long as may be": _made(lambda n: [f"GNTXT,01,01,02,{n}{'x' * 900}"]),
    "a datum before everything": _made(lambda n: [f"GNDTM,{n},,0,N,0,E,0,W84", f"HEHDT,{n % 360}.0,T"]),
    "every time of the day": _made(lambda n: [f"GNGGA,{_clock(n)},1030.0,N,02015.0,W,{n % 9},8,1.1,,M,,M,{n},{n}"]),
    "made-up numbers": _made(lambda n: [f"GNGST,120000.{n % 1000:03d},{n}.{n},{n}.1,{n}.2,1.5,{n}.3,{n}.4,{n}.5"]),
}


def model_of(kind: str) -> FixModel:
    """With everything on that must stay bounded: a track and an averaging grow with the epochs that have a position."""
    if "time of the day" not in kind:
        return furnished()
    model = FixModel(judgement=Judgement(ErrorModel()))
    model.sky_memory = SkyMemory()
    return model


def fed(model: FixModel, stream: Iterator[bytes], size: float, finished: int = 0) -> int:
    """So many bytes more; epochs finished so far."""
    taken = number = 0
    while taken < size:
        data = next(stream)
        taken += len(data)
        number += 1
        fixes = model.feed(data, taken / 10_000.0)
        finished += len(fixes)
        if number % 8 == 0:
            for fix in fixes[:20]:
                check_fix(fix)
            check_counts(model.snapshot(), finished)
            check_drawn(model)
            assert held(model) <= MOST_HELD
    return finished


def peak_mb() -> float:
    import resource  # POSIX

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * KB_OF_MAXRSS / PER_MB


def main(kind: str, megabytes: float) -> None:
    model, stream = model_of(kind), ENDLESS[kind]()
    finished = fed(model, stream, PER_MB)
    print(f"{peak_mb():.1f}")
    finished = fed(model, stream, (megabytes - 1) * PER_MB, finished)
    finished += len(model.finish())
    check_counts(model.snapshot(), finished)
    print(f"{peak_mb():.1f}")


if __name__ == "__main__":
    main(sys.argv[1], float(sys.argv[2]))
