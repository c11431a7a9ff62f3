"""From the wire to the screen: how late an epoch is shown, on a terminal of its own and on the screen of a real tmux.

Run from the project's folder: `python -m tests.benchmarks.live [--epochs N] [--hz F]`. A pty stands for the serial
line. Late is counted from just before a burst is written into the pty, in one piece, until the screen shows its
position. Linux only; on a busy machine begin with `nice -n -10`, which needs the right to.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterator
from statistics import median, quantiles
from typing import NamedTuple

from tests.benchmarks.multiplexer import Multiplexer, has_tmux
from tests.benchmarks.terminal import Terminal, board
from tests.wire import PtyReceiver, burst, sentence

TURN = 1666
"""Epochs after which the longitudes begin again."""
BAUD = 115_200
SETTLE_S = 6.0
"""Until the first frames are drawn."""


class Clocked:
    """A walk that keeps when each burst was about to be written."""

    def __init__(self, hz: float) -> None:
        self.hz = hz
        self.newest = -1
        self.at_s = 0.0

    def __call__(self) -> Iterator[bytes]:
        for number in range(10**6):
            data = moved(burst(number / self.hz), number)
            self.at_s, self.newest = time.monotonic(), number
            yield data


def moved(data: bytes, number: int) -> bytes:
    """A burst with a longitude of its own: 0.0006 minutes, the least that the board shows, further each time."""
    bodies = [line[1:-3].decode("ascii") for line in data.splitlines()]
    place = f"01242.{number % TURN * 6:04d},W"
    return b"".join(sentence(body.replace("01242.2000,W", place)) for body in bodies)


def shown(number: int) -> str:
    """How the board writes that longitude."""
    return f"{12.7 + number % TURN * 0.00001:09.5f}° W"


class Lateness(NamedTuple):
    """Of so many epochs, in seconds."""

    median_s: float
    p90_s: float
    p99_s: float
    epochs: int
    missed: int
    """Not shown before the next one came."""


def lateness(screen: Terminal | Multiplexer, walk: Clocked, epochs: int) -> Lateness:
    """Of an already settled screen."""
    found: list[float] = []
    missed = 0
    while len(found) + missed < epochs:
        number = walk.newest
        while walk.newest == number:
            time.sleep(0.0005)
        began_s, number = walk.at_s, walk.newest
        shown_s = screen.wait_for(shown(number), 1.0 / walk.hz)
        if shown_s is None:
            missed += 1
        else:
            found.append(shown_s - began_s)
    cuts = quantiles(found, n=100)
    return Lateness(median(found), cuts[89], cuts[98], len(found), missed)


def measure(make: Callable[[list[str]], Terminal | Multiplexer], epochs: int, hz: float) -> Lateness:
    """On a screen that is made for it."""
    walk = Clocked(hz)
    with PtyReceiver(BAUD, hz, walk) as receiver:
        screen = make(board("live", receiver.device, "--baud", str(BAUD)))
        screen.run(SETTLE_S)
        try:
            return lateness(screen, walk, epochs)
        finally:
            screen.close()


def in_tmux(command: list[str]) -> Multiplexer:
    """On the screen of a real tmux, in all colours."""
    return Multiplexer(command, {"COLORTERM": "truecolor", "LC_ALL": "C.UTF-8"})


def main() -> None:
    """Print the figures."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--epochs", type=int, default=200)
    options.add_argument("--hz", type=float, default=5.0)
    chosen = options.parse_args()
    places: dict[str, Callable[[list[str]], Terminal | Multiplexer]] = {"directly": Terminal}
    if has_tmux():
        places["in tmux"] = in_tmux
    for name, make in places.items():
        late = measure(make, chosen.epochs, chosen.hz)
        print(
            f"{name}: {late.epochs} epochs at {chosen.hz:g} Hz, {late.missed} not shown in time: median "
            f"{late.median_s * 1000:.1f} ms, p90 {late.p90_s * 1000:.1f} ms, p99 {late.p99_s * 1000:.1f} ms"
        )


if __name__ == "__main__":
    main()
