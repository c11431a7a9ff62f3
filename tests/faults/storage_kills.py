"""kill -9 in a loop, for every kind of write: `python -m tests.faults.storage_kills [KIND...] --count 1000`.

A small warm process forks a writer, lets it live for a random moment, kills it, and looks at what is left: all that was
acknowledged, at most one change more, nothing torn, nothing that piles up; the next writer goes on from there.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import struct
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from tests.faults.storage_kinds import BY_NAME, KINDS, Kind, rests, tree

MOST_HEARD = 3
"""Changes that are waited for at most before the moment is chosen: within about the time that one takes."""
NUMBER = struct.Struct("<q")
AFRESH = 250
"""Kills after which a folder is begun anew, so that files that only grow stay small."""


class Tally(NamedTuple):
    """What a row of kills has shown."""

    kills: int
    changes: int
    """Acknowledged."""
    unheard: int
    """Saved by one that was killed before it could say so."""


def writer(kind: Kind, folder: Path, first: int, said: int) -> None:
    """Changes from that number on, until killed. Never returns."""
    try:
        step = kind.begin(folder, first)
        os.write(said, NUMBER.pack(-1))
        number = first
        while True:
            step(number)
            os.write(said, NUMBER.pack(number))
            number += 1
    except BaseException as error:  # anything that ends a writer but its killer is a fault
        with suppress(OSError):
            os.write(2, f"{kind.name}, change {first}: {type(error).__name__}: {error}\n".encode())
        os._exit(3)


def killed(kind: Kind, folder: Path, first: int, dice: random.Random) -> list[int]:
    """A writer that is killed; the numbers that it acknowledged."""
    heard, said = os.pipe()
    process = os.fork()
    if process == 0:
        os.close(heard)
        silent = os.open(os.devnull, os.O_RDWR)
        os.dup2(silent, 1)
        if kind.name == "debug log":
            os.dup2(silent, 2)
        writer(kind, folder, first, said)
    os.close(said)
    out = _heard(heard, dice.randint(0, MOST_HEARD + 1), dice)
    os.kill(process, signal.SIGKILL)
    _, status = os.waitpid(process, 0)
    assert os.WIFSIGNALED(status), f"{kind.name} ended by itself, at change {first}"
    while more := os.read(heard, 65_536):
        out += more
    os.close(heard)
    return [number for (number,) in NUMBER.iter_unpack(out[: len(out) // NUMBER.size * NUMBER.size]) if number >= 0]


def _heard(heard: int, count: int, dice: random.Random) -> bytes:
    """What was said until its moment has come: none is waited for where it may die while it begins."""
    out, since_s = b"", time.monotonic()
    for _ in range(count):
        since_s = time.monotonic()
        out += os.read(heard, NUMBER.size)
    time.sleep(dice.random() * 1.2 * (time.monotonic() - since_s if count else 0.005))
    return out


def kill_in_a_loop(kind: Kind, folder: Path, count: int, seed: int = 1) -> Tally:
    """Raises AssertionError naming kind and kill where anything is not as it must be."""
    dice = random.Random(f"{kind.name} {seed}")
    changes = unheard = first = 0
    place = folder
    for kill in range(count):
        if kill % AFRESH == 0:
            place, first = folder / f"{kill:06d}", 0
            place.mkdir(parents=True)
        numbers = killed(kind, place, first, dice)
        assert numbers == list(range(first, first + len(numbers)))
        acknowledged = first + len(numbers)
        try:
            kept = kind.kept(place, acknowledged)
            assert acknowledged <= kept <= acknowledged + 1, f"{kept} are there, {acknowledged} were acknowledged"
            assert len(rests(place)) <= kind.rests, rests(place)
        except Exception as error:
            raise AssertionError(f"{kind.name}, kill {kill} of seed {seed}: {error}; {tree(place)[:20]}") from error
        changes, unheard, first = changes + len(numbers), unheard + kept - acknowledged, kept
    return Tally(count, changes, unheard)


def main() -> None:
    """All kinds, or those named."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("kinds", nargs="*", metavar="KIND", help=", ".join(BY_NAME))
    wanted.add_argument("--count", type=int, default=1000)
    wanted.add_argument("--seed", type=int, default=1)
    wanted.add_argument("--folder", type=Path, default=None, help="on the disk to be tried; else a temporary one")
    options = wanted.parse_args()
    failed = False
    for kind in [BY_NAME[name] for name in options.kinds] or KINDS:
        with tempfile.TemporaryDirectory(dir=options.folder) as folder:
            try:
                tally = kill_in_a_loop(kind, Path(folder), options.count, options.seed)
            except AssertionError as error:
                failed = True
                print(f"{kind.name}: FAILED {error}", flush=True)
                continue
        print(f"{kind.name}: {tally.kills} kills, {tally.changes} changes, {tally.unheard} unheard", flush=True)
    sys.exit(failed)


if __name__ == "__main__":
    main()
