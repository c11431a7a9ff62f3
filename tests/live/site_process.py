"""An averaging in a process of its own, to be killed: says how many fixes are on the disk as soon as they are.

The fixes are a fixed row, so that whoever counts what was said knows what must be in the file.
"""

from __future__ import annotations

import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from core.fix import Position
from core.site import SiteAverager
from core.site_file import SiteFile
from core.site_keeper import SiteKeeper
from tests.sites import ERROR_M, heard
from tests.walks import Step

START = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)

MOST = 1500
"""Fixes after which it ends, should nobody kill it."""


def place(number: int) -> Position:
    """Where the receiver is said to be at that second of the afternoon: each differs from all others."""
    return Position(10.5 + number * 1e-8, -20.25 + (number * 7919 % 1000) * 1e-8)


def main(folder: str, first: str) -> None:
    """Fixes from that second of the afternoon on, one after the other, until killed."""
    site, keeper = SiteAverager(), SiteKeeper(SiteFile(Path(folder)))
    keeper.begin(site, START + timedelta(seconds=int(first)))
    keeper.start(site)  # does nothing where the one before goes on
    print("ready", flush=True)
    said = 0
    for number in range(int(first), int(first) + MOST):
        time.sleep(0.001)  # as many a second as a disk can follow, not as fast as the processor
        site.take(heard(Step(float(number), place(number))), float(number), usable=True, error_95_m=ERROR_M)
        keeper.look()
        if keeper.saved > said:
            said = keeper.saved
            print(said, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
