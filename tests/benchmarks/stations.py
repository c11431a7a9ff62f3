"""A list of 100,000 stations: reading it, and asking it for the nearest, beside reading the file once as CSV.

Run from the project's folder: `python -m tests.benchmarks.stations`. The list is invented: half of it locators, half
coordinates, uniform over the globe. The bare reading is that of the standard library's csv module, its rows thrown
away; the median of five counts. Resident memory is what the system reports, of the whole process.
"""

from __future__ import annotations

import csv
import random
import sys
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median
from time import perf_counter

from core.fix import Position
from core.nearest import Here
from core.station_book import StationBook, lists_holding
from core.station_contents import Contents, Read
from core.station_filter import Wanted
from core.station_lists.reading import read_list
from tui.station_search import Question, answer

COUNT = 100_000
RUNS = 5
HERE = Here(Position(41.03, 179.87), 5.0)
DAY = date(2026, 6, 1)
HEADS = "call,name,output,shift,tone,mode,locator,lat,lon,height,status,verified,notes,keeper"
RADIO = ("145.600,-0.6,88.5,FM", "438.650,-7.6,CC 1,FM / DMR", "145.7125,-0.6,,C4FM", "1298.000,-28,123.0,FM")


def row(draw: random.Random, number: int) -> str:
    """An invented station."""
    call = f"Q{number % 10}" + "".join(draw.choices("ABCDEFGHIJKLMNOPQRSTUVWXYZ", k=4))
    fields, small = "ABCDEFGHIJKLMNOPQR", "abcdefghijklmnopqrstuvwx"
    square = (
        f"{draw.choice(fields)}{draw.choice(fields)}{draw.randrange(100):02}{draw.choice(small)}{draw.choice(small)}"
    )
    place = f"{square},," if number % 2 else f",{draw.uniform(-85, 85):.5f},{draw.uniform(-180, 180):.5f}"
    when = f"2026-0{draw.randrange(1, 10)}-01"
    return f"{call},Hill {number},{draw.choice(RADIO)},{place},{draw.randrange(2000)},on air,{when},note {number},Zed"


def seconds(act: Callable[[], object], runs: int = RUNS) -> float:
    """The median of some runs."""
    taken = []
    for _ in range(runs):
        start = perf_counter()
        act()
        taken.append(perf_counter() - start)
    return median(taken)


def bare(path: Path) -> int:
    """Every row, once."""
    with path.open(encoding="utf-8", newline="") as stream:
        return sum(1 for _ in csv.reader(stream))


def resident_mb() -> float:
    """At most so far; not a number where the system does not tell."""
    try:
        import resource
    except ImportError:
        return float("nan")
    used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return used / 2**20 if sys.platform == "darwin" else used / 2**10


def main() -> None:
    """Print milliseconds, ratios to the bare reading, and memory."""
    draw = random.Random(20_311_104)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "many.csv"
        path.write_text("\n".join((HEADS, *(row(draw, number) for number in range(COUNT)))), "utf-8")
        before_mb = resident_mb()
        base = seconds(lambda: bare(path))
        found = read_list(path)
        contents = Contents((Read(path, found),))
        held_mb = resident_mb()
        settled = StationBook(None, (path,))
        settled.look()
        settled.look()
        rows = {
            "csv alone": base,
            "the list understood": seconds(lambda: read_list(path), 3),
            "made a book of": seconds(lambda: Contents((Read(path, found),)), 3),
            "looked at, unchanged": seconds(settled.look),
            "may it hold a name?": seconds(lambda: list(lists_holding((path,), "qx-none"))),
            "nearest 10": seconds(lambda: contents.finder.nearest(HERE, 10)),
            "nearest 200, as listed": seconds(lambda: answer(Question(contents, Wanted(), HERE, DAY))),
            "of one band and mode": seconds(lambda: answer(Question(contents, Wanted("2 m", "fm"), HERE, DAY))),
            "of some words": seconds(lambda: answer(Question(contents, Wanted(words="hill 77"), HERE, DAY))),
            "figures of 200 again": seconds(
                lambda: answer(Question(contents, Wanted(), HERE, DAY, contents.finder.stations[:200]))
            ),
        }
        for name, taken in rows.items():
            print(f"{name:24} {taken * 1000:9.1f} ms   ratio {taken / base:7.2f}")
        print(f"resident memory: {before_mb:.0f} MB before, {held_mb:.0f} MB with the list read and its book made")


if __name__ == "__main__":
    main()
