"""A million parses of every reader: `python -m tests.faults.fuzz_readers [NAME...] [--count N] [--seconds S]`.

An escape is anything that a reader raises besides the error it documents, a result out of its stated ranges, a way
from writing to reading that does not end where it began, or a file that a reader writes. The first ends the run and
is shown with the input that made it. What is run hangs on `--seed` alone. Coverage-guided: `python -m
tests.faults.fuzzing`, whose table these readers are in.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import NamedTuple

from tests.faults import fuzz_readers_files, fuzz_readers_kept, fuzz_readers_places, fuzz_readers_text
from tests.faults.fuzz_readers_base import Reader, watched
from tests.faults.fuzz_readers_mutation import Mutator

READERS: dict[str, Reader] = {
    **fuzz_readers_text.READERS,
    **fuzz_readers_places.READERS,
    **fuzz_readers_kept.READERS,
    **fuzz_readers_files.READERS,
}
BLOCK = 1000
"""Parses between two looks at the clock."""


class Ran(NamedTuple):
    """What came of one reader."""

    parses: int
    taken: int
    """Those in which something was read."""
    seconds: float


def hammered(reader: Reader, count: int, seed: int, seconds: float = float("inf")) -> Ran:
    """Its seeds, then mutations of them, `count` in all or as many as fit the time. Raises what escapes."""
    begun, taken, done = time.perf_counter(), 0, 0
    mutations = iter(Mutator(reader.seeds, reader.words, seed))
    for data in reader.seeds:  # what is imported late is imported now: a library may look for writable places then
        _tried(reader, data)
    with watched():
        while done < count and time.perf_counter() - begun < seconds:
            for number in range(done, min(done + BLOCK, count)):
                data = reader.seeds[number] if number < len(reader.seeds) else next(mutations)
                taken += _tried(reader, data)
                done += 1
    return Ran(done, taken, time.perf_counter() - begun)


def _tried(reader: Reader, data: bytes) -> bool:
    try:
        return reader.read(data)
    except BaseException as error:
        error.add_note(f"the input was {data!r}")
        raise


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.faults.fuzz_readers", description="A million parses each.")
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join(READERS)}; all without one")
    parser.add_argument("--count", type=int, default=1_000_000, help="parses of each reader")
    parser.add_argument("--seconds", type=float, default=float("inf"), help="for each reader at most")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, help="file to add a line a reader to")
    options = parser.parse_args(arguments)
    unknown = set(options.names) - set(READERS)
    if unknown:
        parser.error(f"no reader {', '.join(sorted(unknown))}: there are {', '.join(READERS)}")
    for name in options.names or READERS:
        _say(options, _line(name, hammered(READERS[name], options.count, options.seed, options.seconds)))
    return 0


def _line(name: str, ran: Ran) -> str:
    share, each_us = ran.taken / max(1, ran.parses), ran.seconds / max(1, ran.parses) * 1e6
    return f"{name:<16} {ran.parses:>9,} parses, no escape; {share:6.1%} read, the rest refused; {each_us:,.0f} µs each"


def _say(options: argparse.Namespace, line: str) -> None:
    print(line, flush=True)
    if options.keep:
        with options.keep.open("a", encoding="utf-8") as stream:
            stream.write(f"{line}\n")


if __name__ == "__main__":
    sys.exit(main())
