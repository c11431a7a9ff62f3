"""From the wire to the screen: how late an epoch is shown, and what the board costs at 1 and 10 Hz.

Run from the project's folder: `python -m tests.benchmarks.live [--epochs N] [--tmux]`. A pty stands for the serial
line. Late is counted from just before a burst is written into the pty until the terminal's screen shows its position;
with --tmux the screen is that of a terminal which tmux draws on. Linux only.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from statistics import median, quantiles

from tests.benchmarks.terminal import Terminal, board, cpu_s
from tests.wire import PtyReceiver, burst, sentence

TURN = 1666
"""Epochs after which the longitudes begin again."""
SETTLE_S = 6.0
"""Until the speed is found and the first frames are drawn."""


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


def latencies(terminal: Terminal, walk: Clocked, epochs: int) -> tuple[list[float], int]:
    """Seconds of each epoch, and how many were not shown before the next one came."""
    found: list[float] = []
    missed = 0
    while len(found) + missed < epochs:
        number = walk.newest
        while walk.newest == number:
            terminal.read(0.001)
        began_s, number = walk.at_s, walk.newest
        shown_s = terminal.wait_for(shown(number), 1.0 / walk.hz)
        if shown_s is None:
            missed += 1
        else:
            found.append(shown_s - began_s)
    return found, missed


def cpu_percent(hz: float, through_tmux: bool, seconds: float = 15.0) -> tuple[float, float]:
    """Per cent of one core, and bytes a second to the terminal."""
    walk = Clocked(hz)
    with PtyReceiver(9600, hz, walk) as receiver:
        terminal = Terminal(board("live", receiver.device), through_tmux)
        terminal.run(SETTLE_S)
        pid = terminal.board_pid()
        before_s, before = cpu_s(pid), terminal.written
        began_s = time.monotonic()
        terminal.run(seconds)
        took_s = time.monotonic() - began_s
        used = 100.0 * (cpu_s(pid) - before_s) / took_s, (terminal.written - before) / took_s
        terminal.close()
    return used


def main() -> None:
    """Print the figures."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--epochs", type=int, default=200)
    options.add_argument("--hz", type=float, default=5.0)
    options.add_argument("--tmux", action="store_true")
    chosen = options.parse_args()
    walk = Clocked(chosen.hz)
    with PtyReceiver(9600, chosen.hz, walk) as receiver:
        terminal = Terminal(board("live", receiver.device), chosen.tmux)
        terminal.run(SETTLE_S)
        found, missed = latencies(terminal, walk, chosen.epochs)
        terminal.close()
    cuts = quantiles(found, n=100)
    where = "tmux" if chosen.tmux else "direct"
    print(
        f"{where}: {len(found)} epochs at {chosen.hz:g} Hz, {missed} not shown in time: "
        f"median {median(found) * 1000:.0f} ms, p90 {cuts[89] * 1000:.0f} ms, p99 {cuts[98] * 1000:.0f} ms"
    )
    for hz in (1.0, 10.0):
        percent, rate = cpu_percent(hz, chosen.tmux)
        print(f"{where}: {hz:g} Hz: {percent:.1f} % of a core, {rate / 1000:.1f} kB/s to the terminal")


if __name__ == "__main__":
    main()
