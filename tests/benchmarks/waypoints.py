"""Ten thousand waypoints: reading the file, listing them by distance, and their screen on the board.

Run from the project's folder: `python -m tests.benchmarks.waypoints [COUNT]`. The waypoints are invented, uniform over
a thousand kilometres of open ocean. Ratios are to reading the same file once with the standard library's parser, its
tree thrown away; the median of some runs counts. How late the screen's loop was is that of a board in test mode, which
draws all and writes to no terminal.
"""

from __future__ import annotations

import asyncio
import random
import sys
import tempfile
import xml.etree.ElementTree as ET
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

from core.fix import Position
from core.place_list import Sort, listed
from core.waypoints import Waypoint, Waypoints
from tests.benchmarks.lag import watched
from tests.tui.support import HERE, SETTLED, Epoch, board_app, board_state, show, walked
from tui.panes.place_list import ListView, PlaceListPane
from tui.screens.places import PlacesScreen

COUNT, RUNS, WIDTH = 10_000, 7, 74
BEGUN = datetime(2031, 5, 4, tzinfo=UTC)
KINDS = ("mark", "hut", "crossing", "car", "")


def invented(count: int) -> list[Waypoint]:
    """All over the ocean."""
    draw = random.Random(20_310_504)
    return [
        Waypoint(
            f"Quennet {draw.randrange(10**6)}", Position(draw.uniform(6, 15), draw.uniform(-25, -15)), 12.5,
            BEGUN + timedelta(minutes=number), f"note {number}", draw.choice(KINDS),
        )
        for number in range(count)
    ]  # fmt: skip


def seconds(act: Callable[[], object]) -> float:
    """Processor time, the median of some runs."""
    taken = []
    for _ in range(RUNS):
        begun = process_time()
        act()
        taken.append(process_time() - begun)
    return median(taken)


def rows(found: list[Waypoint]) -> int:
    """Every row's text, distance and bearing in it; the screen asks for those in sight only."""
    pane = PlaceListPane()
    pane.show(ListView(found, SETTLED), "")
    return sum(1 for one in found if pane.row(one, WIDTH, chosen=False))


async def on_screen(folder: Path) -> None:
    """Print how late the loop was while the list is opened, gone through, searched and put in order again."""
    app = board_app(folder)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.pause()
        _ = app.session.waypoints
        async with watched() as lag:
            begun = perf_counter()
            await pilot.press("t")
            while not isinstance(app.screen, PlacesScreen):
                await pilot.pause()
            opened_s = perf_counter() - begun
        print(f"opened in {1000 * opened_s:.0f} ms: {lag.words()}")
        for what, keys in (("moved through", ("down", "pagedown") * 10), ("searched", tuple("note 77"))):
            async with watched() as lag:
                await pilot.press(*keys)
            print(f"{what}: {lag.words()}")
        async with watched() as lag:
            for second in range(20):
                away = Epoch(second=float(second), place=f"10{30 + second}.0000,N,02015.0000,W")
                show(app, board_state(walked(3, away)))
                await pilot.pause()
        print(f"an epoch far away, twenty times: {lag.words()}")


def main(count: int) -> None:
    """Print them."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "waypoints.gpx"
        Waypoints(path).add_all(invented(count))
        data = path.read_bytes()
        base = seconds(lambda: ET.fromstring(data))
        found = Waypoints(path).all()
        in_order = listed(found, "", Sort.DISTANCE, HERE)
        figures = {
            "parsed alone": base,
            "read": seconds(lambda: Waypoints(path)),
            "listed by distance": seconds(lambda: listed(found, "", Sort.DISTANCE, HERE)),
            "listed by words": seconds(lambda: listed(found, "note 77", Sort.DISTANCE, HERE)),
            "the rows in sight": seconds(lambda: rows(in_order[:40])),
            "every row": seconds(lambda: rows(in_order)),
        }
        for name, taken in figures.items():
            print(f"{name:20} {taken * 1000:8.1f} ms   ratio {taken / base:6.2f}")
        asyncio.run(on_screen(Path(folder)))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else COUNT)
