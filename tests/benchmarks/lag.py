"""How long the screen's loop is held up: a beat every few milliseconds, how late it came, how busy the loop was.

Late is what a user sees; on a machine that others use too it is theirs as well. Busy is the processor time of the
loop's thread between two beats: what it does itself, whoever else there is.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from statistics import quantiles
from time import perf_counter, thread_time

BEAT_S = 0.002


class Lag:
    """Seconds by which beats were late, and which the loop was busy before each."""

    def __init__(self) -> None:
        self.late_s: list[float] = []
        self.busy_s: list[float] = []

    def words(self) -> str:
        """The longest three, and what ninety-nine of a hundred were below."""
        return f"late {_told(self.late_s)}; busy {_told(self.busy_s)}; {len(self.late_s)} beats"


def _told(seconds: list[float]) -> str:
    percent = quantiles(seconds, n=100)[98] if len(seconds) > 1 else float("nan")
    longest = ", ".join(f"{1000 * one:.0f}" for one in sorted(seconds, reverse=True)[:3])
    return f"{longest} ms at most, 99 % below {1000 * percent:.0f} ms"


@asynccontextmanager
async def watched() -> AsyncIterator[Lag]:
    """The loop while the block runs."""
    lag = Lag()
    task = asyncio.create_task(_beat(lag))
    await asyncio.sleep(BEAT_S)
    yield lag
    await asyncio.sleep(BEAT_S)
    task.cancel()


async def _beat(lag: Lag) -> None:
    used_s = thread_time()
    while True:
        due = perf_counter() + BEAT_S
        await asyncio.sleep(BEAT_S)
        lag.late_s.append(perf_counter() - due)
        before_s, used_s = used_s, thread_time()
        lag.busy_s.append(used_s - before_s)
