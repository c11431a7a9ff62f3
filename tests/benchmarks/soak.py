"""A long run without growth: 10 Hz through a pty with the recorder on, the board's memory once a minute.

Run from the project's folder: `python -m tests.benchmarks.soak [--minutes N] [--hz N]`. Linux only.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from core.model import FixModel
from tests.benchmarks.terminal import Terminal, board, cpu_s, resident_kb
from tests.wire import PtyReceiver, walk

SETTLE_S = 60.0
"""Caches and histories fill in the first minute."""


def epochs_in(folder: Path) -> int:
    """Of all recordings."""
    model = FixModel()
    found = 0
    for file in sorted(folder.iterdir()):
        found += len(model.feed(file.read_bytes(), 0.0))
    return found + len(model.finish())


def main() -> None:
    """Print a line a minute, then the growth."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--minutes", type=int, default=30)
    options.add_argument("--hz", type=float, default=10.0)
    chosen = options.parse_args()
    with PtyReceiver(9600, chosen.hz, walk(chosen.hz)) as receiver:
        terminal = Terminal(board("live", receiver.device, "--record"))
        terminal.run(SETTLE_S)
        sizes = [resident_kb(terminal.pid)]
        before_s, began_s = cpu_s(terminal.pid), time.monotonic()
        for minute in range(1, chosen.minutes + 1):
            terminal.run(60.0)
            sizes.append(resident_kb(terminal.pid))
            print(f"minute {minute}: {sizes[-1]} kB, {terminal.written / 1e6:.1f} MB drawn", flush=True)
        percent = 100.0 * (cpu_s(terminal.pid) - before_s) / (time.monotonic() - began_s)
        sent = len(receiver.sent)
        epochs = epochs_in(Path(terminal.folder) / "recordings")
        terminal.close()
    grown = sizes[-1] - sizes[0]
    print(
        f"{chosen.minutes} min at {chosen.hz:g} Hz: {sizes[0]} -> {sizes[-1]} kB ({grown:+d}), "
        f"{percent:.1f} % of a core, {sent} epochs sent, {epochs} recorded"
    )


if __name__ == "__main__":
    main()
