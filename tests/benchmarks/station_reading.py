"""How late the screen is while a list of 100,000 stations is read, beside a board that reads none.

Run from the project's folder: `python -m tests.benchmarks.station_reading [COUNT]`. The list is that of the benchmark
`stations`. The board is in test mode, an epoch a quarter of a second: it draws all and writes to no terminal.
"""

from __future__ import annotations

import asyncio
import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

from tests.benchmarks.lag import watched
from tests.benchmarks.stations import COUNT, HEADS, row
from tests.tui.support import Epoch, board_app, board_state, show, walked
from tui.app import FixboardApp
from tui.screens.stations import StationsScreen

EPOCH_S = 0.25
IDLE_S = 5.0
PATIENCE_S = 300.0


async def run(folder: Path) -> None:
    """Print both."""
    app = board_app(folder)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("F")
        await pilot.pause()
        screen = next(one for one in app.screen_stack if isinstance(one, StationsScreen))
        begun = perf_counter()
        while not screen.contents.stations and perf_counter() - begun < PATIENCE_S:
            await asyncio.sleep(0.05)
        print(f"warmed up: {len(screen.contents.stations)} read in {perf_counter() - begun:.1f} s")
        async with watched() as lag:
            end_s = perf_counter() + IDLE_S
            idle_s = await epochs(app, lambda: perf_counter() > end_s)
        print(f"nothing read, {idle_s:.1f} s: {lag.words()}")
        many = folder / "stations" / "many.csv"
        many.write_text(many.read_text("utf-8") + "\n", "utf-8")
        before = screen.contents
        await pilot.press("escape", "F")
        async with watched() as lag:
            taken_s = await epochs(app, lambda: _contents(app) not in {None, id(before)})
        print(f"read anew, {taken_s:.1f} s: {lag.words()}")


def _contents(app: FixboardApp) -> int | None:
    found = next((one for one in app.screen_stack if isinstance(one, StationsScreen)), None)
    return id(found.contents) if found and found.contents.stations else None


async def epochs(app: FixboardApp, is_over: Callable[[], bool]) -> float:
    """The board's life until then; how long it was."""
    begun, second = perf_counter(), 0
    while not is_over() and perf_counter() - begun < PATIENCE_S:
        show(app, board_state(walked(3, Epoch(second=float(second)))))
        second += 1
        await asyncio.sleep(EPOCH_S)
    return perf_counter() - begun


def main(count: int) -> None:
    """Write the list, and read it on a board."""
    draw = random.Random(20_311_104)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "stations").mkdir()
        text = "\n".join((HEADS, *(row(draw, number) for number in range(count))))
        (folder / "stations" / "many.csv").write_text(text, "utf-8")
        asyncio.run(run(folder))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else COUNT)
