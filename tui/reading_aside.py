"""Reading something large in a thread while the screen goes on drawing."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator
from contextlib import contextmanager

SWITCH_S = 0.001
"""How long the reading thread may keep the interpreter to itself. The usual 5 ms come back at every write and wait of
the screen's thread: a frame has a dozen."""
MANY = 50_000
"""Objects: to look through so many once takes some ten milliseconds, and that is let be."""


@contextmanager
def undisturbed() -> Iterator[None]:
    """For the thread that reads. What it makes is many small objects and no cycles.

    The collector of garbage would look through all of them again and again, half a second each time, and nobody can
    draw meanwhile. It rests until the reading is done; what is there then is no garbage, and is never looked through.
    """
    was_on, before_s = gc.isenabled(), sys.getswitchinterval()
    gc.disable()
    sys.setswitchinterval(min(SWITCH_S, before_s))
    try:
        yield
    finally:
        if gc.get_count()[0] > MANY:
            gc.freeze()
        sys.setswitchinterval(before_s)
        if was_on:
            gc.enable()
