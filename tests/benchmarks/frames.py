"""Milliseconds a frame for the drawn panes: drawing, comparing, and telling the terminal of the cells that changed.

Run from the project's folder: `python -m tests.benchmarks.frames`. Median and 99th percentile of 300 frames each,
in processor time; nothing here is a test, because a loaded machine would make it fail.
"""

from __future__ import annotations

import cmath
import random
from collections.abc import Callable, Iterator
from functools import partial
from math import sin
from statistics import median, quantiles
from time import thread_time

from rich.color import ColorSystem
from textual.color import TRANSPARENT

from core.fix import Position, Satellite
from core.heights import Heights
from core.thinned import Thinned
from core.track import TrackPoint, TrackView
from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Grid
from tui.canvas.palettes import Depth, palette_for
from tui.canvas.pen import PLAIN, Pen
from tui.canvas.row_look import RowLook
from tui.panes.compass import CompassView, draw_compass
from tui.panes.profile import ProfileView, draw_profile
from tui.panes.sky import SkyView, draw_sky
from tui.panes.trail import TrailMemory, TrailView, draw_trail
from tui.panes.trail_raster import TrailRaster

FRAMES = 300
TRACK_POINTS = 50_000
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


def wandering(count: int) -> list[TrackPoint]:
    """An invented walk that keeps turning, a point every 1.4 m, a gap every 10,000 points."""
    rng, points = random.Random(3), []
    at, head, turn = complex(10.5, -20.25), 0.7, 0.0
    for n in range(count):
        turn = turn * 0.97 + rng.gauss(0, 0.006)
        head += turn
        at += cmath.rect(1.4 / 110_600, head)
        points.append(TrackPoint(Position(at.real, at.imag), float(n), None, 100 + 60 * sin(n / 900), n % 10_000 == 0))
    return points


def trail(change: str, zoom: int | None = None) -> Iterator[Draw]:
    """Frames of the map at 50,000 points: drawn as the `first`, `pan`ned, `zoom`ed, with a `newest` point each, or
    panned over 10,000 `places`."""
    points, memory = wandering(TRACK_POINTS + FRAMES), TrailMemory()
    places = [(f"place {n}", points[n * 5].position) for n in range(10_000)]
    draw_trail(Grid(60, 24), TrailView(TrackView(points, TRACK_POINTS)), memory)
    for n in range(FRAMES):
        count = TRACK_POINTS + (n if change == "newest" else 0)
        view = TrailView(TrackView(points, count), points[count - 1].position, course_deg=n % 360, zoom=zoom)
        if change == "pan":
            view = view._replace(pan=(n * 12.0, n * 7.0))
        elif change == "zoom":
            view = view._replace(zoom=n % 12)
        elif change == "places":
            view = view._replace(waypoints=places, pan=(n * 12.0, 0.0))
        elif change == "first":
            memory.raster = TrailRaster()
        yield partial(draw_trail, view=view, memory=memory)


def profile() -> Iterator[Draw]:
    """Frames of the elevation profile, a new point each."""
    points, heights = wandering(TRACK_POINTS + FRAMES), Heights()
    heights.follow(TrackView(points, TRACK_POINTS))
    for n in range(FRAMES):
        yield partial(draw_profile, view=ProfileView(TrackView(points, TRACK_POINTS + n)), heights=heights)


def load() -> None:
    """Print what taking in a whole track costs, once."""
    track = TrackView(wandering(TRACK_POINTS), TRACK_POINTS)
    for taker in (Thinned(), Heights()):
        start = thread_time()
        taker.follow(track)
        print(f"{type(taker).__name__}: {TRACK_POINTS:,} points taken in {(thread_time() - start) * 1000:.0f} ms")


def trail_scenes() -> Iterator[tuple[str, Iterator[Draw], int, int]]:
    """The map and the profile at both sizes."""
    for wide, high in ((60, 24), (100, 40)):
        for change, zoom in (
            ("first", None),
            ("first", 2),
            ("pan", 2),
            ("zoom", None),
            ("newest", 2),
            ("newest", None),
            ("places", 5),
        ):  # fmt: skip - one scene a line would hide the two sizes
            name = f"trail {wide}x{high}, {change}, {'fit' if zoom is None else f'step {zoom}'}"
            yield name, trail(change, zoom), wide, high
        yield f"profile {wide}x{high // 2}, newest", profile(), wide, high // 2


def measure(frames: Iterator[Draw], width: int, height: int) -> list[float]:
    """Milliseconds of each frame, from blank grid to what the terminal is told."""
    pen = Pen(palette_for("dark", Depth.TRUECOLOR), ColorSystem.TRUECOLOR, (), TRANSPARENT)
    before = Grid(width, height)
    looks = [before.look(y, BRAILLE) for y in range(height)]
    times = []
    for draw in frames:
        start = thread_time()
        grid = Grid(width, height)
        draw(grid)
        for y in grid.changed_rows(before):
            old, looks[y] = looks[y], grid.look(y, BRAILLE)
            told(looks[y], looks[y].changed(old), pen)
        before = grid
        times.append((thread_time() - start) * 1000)
    return times


def told(look: RowLook, stretches: list[tuple[int, int]], pen: Pen) -> str:
    """Of one row."""
    parts: list[str] = []
    style = PLAIN
    for start, end in stretches:
        for text, key in look.runs(start, end):
            parts += (pen.change(style, key), text)
            style = key
    return "".join(parts)


def main() -> None:
    """Print one line a scene."""
    scenes = (
        ("sky 60x30, north-up", sky(turning=False), 60, 30),
        ("sky 60x30, turning", sky(turning=True), 60, 30),
        ("sky 100x52, north-up", sky(turning=False), 100, 52),
        ("sky 100x52, turning", sky(turning=True), 100, 52),
        ("compass 40x20, north-up", compass(turning=False), 40, 20),
        ("compass 40x20, turning", compass(turning=True), 40, 20),
        *trail_scenes(),
    )
    load()
    for name, frames, width, height in scenes:
        times = measure(frames, width, height)
        print(f"{name:32} median {median(times):5.2f} ms   99 % {quantiles(times, n=100)[98]:5.2f} ms")


if __name__ == "__main__":
    main()
