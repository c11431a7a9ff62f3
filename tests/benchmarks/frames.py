"""Milliseconds a frame for the drawn panes: drawing, comparing rows, and making the strips that changed.

Run from the project's folder: `python -m tests.benchmarks.frames`. Median and 99th percentile of 300 frames each;
nothing here is a test, because a loaded machine would make it fail.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from functools import partial
from statistics import median, quantiles
from time import perf_counter

from core.fix import Satellite
from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Grid
from tui.canvas.palettes import Depth, palette_for
from tui.panes.compass import CompassView, draw_compass
from tui.panes.sky import SkyView, draw_sky

FRAMES = 300
Draw = Callable[[Grid], None]


def satellites(seed: int) -> tuple[Satellite, ...]:
    """Forty invented satellites in fixed places whose signals differ a little from seed to seed."""
    place, signal = random.Random(1), random.Random(seed)
    return tuple(_satellite(n, place, signal) for n in range(40))


def _satellite(n: int, place: random.Random, signal: random.Random) -> Satellite:
    cno = None if n % 5 == 4 else 24 + n % 20 + signal.randrange(3)
    return Satellite("GREC"[n % 4] + f"{n + 1:02d}", place.randrange(90), place.randrange(360), cno, n % 3 == 0)


def sky(*, turning: bool) -> Iterator[Draw]:
    """Frames of the sky plot."""
    places: dict[str, int] = {}
    for n in range(FRAMES):
        view = SkyView(satellites(n), float(n) if turning else 0.0)
        yield partial(draw_sky, view=view, places=places)


def compass(*, turning: bool) -> Iterator[Draw]:
    """Frames of the compass; the course wanders by a degree."""
    for n in range(FRAMES):
        view = CompassView(float(n) if turning else 0.0, "course-up", 247.0 + n % 2, True, None, 312.0)
        yield partial(draw_compass, view=view)


def measure(frames: Iterator[Draw], width: int, height: int) -> list[float]:
    """Milliseconds of each frame, from blank grid to strips."""
    palette = palette_for("dark", Depth.TRUECOLOR)
    keys: list[object] = [None] * height
    times = []
    for draw in frames:
        start = perf_counter()
        grid = Grid(width, height)
        draw(grid)
        new = [grid.row_key(y) for y in range(height)]
        for y in (y for y in range(height) if new[y] != keys[y]):
            grid.strip(y, palette, BRAILLE)
        keys = list(new)
        times.append((perf_counter() - start) * 1000)
    return times


def main() -> None:
    """Print one line a scene."""
    scenes = (
        ("sky 60x30, north-up", sky(turning=False), 60, 30),
        ("sky 60x30, turning", sky(turning=True), 60, 30),
        ("sky 100x52, north-up", sky(turning=False), 100, 52),
        ("sky 100x52, turning", sky(turning=True), 100, 52),
        ("compass 40x20, north-up", compass(turning=False), 40, 20),
        ("compass 40x20, turning", compass(turning=True), 40, 20),
    )
    for name, frames, width, height in scenes:
        times = measure(frames, width, height)
        print(f"{name:26} median {median(times):5.2f} ms   99 % {quantiles(times, n=100)[98]:5.2f} ms")


if __name__ == "__main__":
    main()
