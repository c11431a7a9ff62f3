"""Gigantic lines, and streams in which nothing ever ends: what is kept of them does not grow.

Each in a process of its own, whose peak after the first megabyte is compared with the peak at the end.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from core.model import FixModel
from core.nmea.framing import LINE_LIMIT, Framer
from tests.build import rmc
from tests.faults.damage import LONG_NUMBER, checksummed
from tests.faults.fuzz_sentences_checks import check_fix

ROOT = Path(__file__).parents[2]
GIGANTIC_MB, ENDLESS_MB = 100, 3
"""What is passed over in large steps may be gigantic; the others cost up to a second and a half a megabyte."""
ALLOWED_MB = 1.5
"""Of growth: less than what comes after the first megabyte. Measured: 0.0 to 0.4."""
GIGANTIC = ("no line end", "zero bytes", "one number without end", "one sentence without end", "host times")
OTHERS = (
    *("fields without end", "line ends", "dollars", "exclamation marks", "starts of sentences", "stars", "backslashes"),
    *("starts behind exclamation marks", "tag blocks", "tag blocks that open only", "tag blocks on lines", "binary"),
    *("groups that never close", "pages out of order", "an epoch that never ends", "anchors without a time"),
    *("an epoch that never ends, with satellites", "made-up types", "texts as long as may be", "made-up numbers"),
    *("a datum before everything", "every time of the day"),
)


@pytest.mark.skipif(sys.platform == "win32", reason="getrusage, which tells a process's peak, is POSIX")
@pytest.mark.parametrize("kind", [*GIGANTIC, *OTHERS])
def test_the_memory_for_an_endless_stream_does_not_grow(kind: str) -> None:
    megabytes = GIGANTIC_MB if kind in GIGANTIC else ENDLESS_MB
    command = [sys.executable, "-m", "tests.faults.fuzz_sentences_endless", kind, str(megabytes)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=900, check=False)
    assert done.returncode == 0, done.stderr[-3000:]
    early_mb, late_mb = map(float, done.stdout.split())
    assert late_mb - early_mb < ALLOWED_MB, done.stdout


def test_every_endless_stream_is_tested() -> None:
    from tests.faults.fuzz_sentences_endless import ENDLESS

    assert {*GIGANTIC, *OTHERS} == {*ENDLESS}


@pytest.mark.parametrize("at", range(1, 13))
def test_a_number_of_a_million_digits_is_no_number_wherever_it_stands(at: int) -> None:
    """The sentence is refused as too long, and the next one counts."""
    fields = rmc(43_200).encode().split(b",")
    fields[at] = LONG_NUMBER
    model = FixModel()
    fixes = model.feed(checksummed(b",".join(fields)) + checksummed(rmc(43_201).encode()), 0.0) + model.finish()
    assert [fix.utc.time_ms for fix in fixes if fix.utc] == [43_201_000]
    counts = model.snapshot().counts
    assert (counts.verified, sum(counts.rejected.values())) == (1, 1)


@pytest.mark.parametrize("at", range(1, 13))
def test_a_number_of_nine_hundred_digits_is_no_number_wherever_it_stands(at: int) -> None:
    """It fits into a sentence, so it comes as far as the converters."""
    fields = rmc(43_200).encode().split(b",")
    fields[at] = b"9" * 900
    model = FixModel()
    for fix in model.feed(checksummed(b",".join(fields)), 0.0) + model.finish():
        check_fix(fix)
    assert model.snapshot().counts.verified == 1


@pytest.mark.parametrize("junk", [b"A", b"\x00", b"$", b"!", b"*", b"\\", b"$GPGGA,", b"!AIVDM,", b"\\c:1*68\\"])
def test_what_is_kept_of_a_line_never_exceeds_its_limit_and_the_next_sentence_counts(junk: bytes) -> None:
    framer = Framer()
    for size in (1, 63, 4095, 4096, 4097, 20_000):
        framer.feed(junk * (size // len(junk) + 1))
        assert len(framer._rest) < LINE_LIMIT + len(junk)
    framer.feed(b"\r\n")
    (event,) = framer.feed(checksummed(b"GNRMC,,V,,,,,,,,,,N"))
    assert event.text.startswith("$GNRMC")
