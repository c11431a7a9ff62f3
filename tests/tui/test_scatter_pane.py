"""The scatter as drawn: dots where the fixes are, rings as large as they are said to be, in every set of characters."""

from __future__ import annotations

import math
import random

import pytest

from core.averaging import SiteSample, average
from core.site_session import SampleView
from tui.canvas.glyphs import BRAILLE, GLYPH_SETS
from tui.canvas.grid import Grid
from tui.canvas.inks import Ink
from tui.panes.scatter import ScatterMemory, ScatterView, draw_scatter, ellipse_95
from tui.panes.scatter_frame import STEPS_M, ScatterFrame, framed
from tui.panes.scatter_marks import Ellipse, draw_ring
from tui.panes.scatter_raster import MOST_DRAWN, ScatterRaster

SIZE = (60, 30)
DOTS = (120, 120)


def cloud(count: int, sigmas: tuple[float, float] = (1.0, 1.0), seed: int = 1, rho: float = 0.0) -> list[SiteSample]:
    """Independent normal errors, the axes correlated."""
    dice = random.Random(seed)
    found = []
    for n in range(count):
        a, b = dice.gauss(0, 1), dice.gauss(0, 1)
        found.append(SiteSample(float(n), sigmas[0] * a, sigmas[1] * (rho * a + math.sqrt(1 - rho * rho) * b), None))
    return found


def view(samples: list[SiteSample], **more: object) -> ScatterView:
    shown = ScatterView(SampleView(samples, len(samples)), average(samples), samples[-1])
    return shown._replace(**more)  # type: ignore[arg-type]


def drawn(shown: ScatterView, size: tuple[int, int] = SIZE, memory: ScatterMemory | None = None) -> Grid:
    grid = Grid(*size)
    draw_scatter(grid, shown, memory)
    return grid


def rows(grid: Grid, glyphs: str = "braille") -> list[str]:
    return [grid.row_text(y, GLYPH_SETS[glyphs]) for y in range(grid.height)]


# The frame


def test_a_dot_is_as_far_east_and_north_as_the_metres_say() -> None:
    frame = ScatterFrame((100.0, -50.0), 0.5, (41, 41))
    assert frame.dot((100.0, -50.0)) == (20.0, 20.0)
    assert frame.dot((105.0, -50.0)) == (30.0, 20.0)
    assert frame.dot((100.0, -40.0)) == (20.0, 0.0)
    assert frame.dots([SiteSample(0.0, 105.0, -45.0, None)]) == [(30.0, 10.0)]


@pytest.mark.parametrize("half_m", [0.001, 0.013, 0.4, 3.0, 77.0, 5e5, 1e12])
def test_all_that_must_be_seen_is_inside_and_fills_most_of_it(half_m: float) -> None:
    frame = framed(None, (3.0, 4.0), half_m, (200, 80))
    if half_m < STEPS_M[-1] * 40:
        for bearing in range(0, 360, 30):
            spot = 3.0 + half_m * math.sin(bearing), 4.0 + half_m * math.cos(bearing)
            assert frame.holds(frame.dot(spot))
    if 0.02 < half_m < 1e5:
        assert half_m / frame.metres_per_dot > 0.6 * 40


def test_the_frame_stays_while_it_serves_and_goes_when_it_does_not() -> None:
    frame = framed(None, (0.0, 0.0), 10.0, DOTS)
    assert framed(frame, (0.5, 0.5), 9.0, DOTS) is frame
    assert framed(frame, (0.0, 0.0), 30.0, DOTS) is not frame
    assert framed(frame, (0.0, 0.0), 2.0, DOTS) is not frame
    assert framed(frame, (8.0, 0.0), 10.0, DOTS) is not frame
    assert framed(frame, (0.0, 0.0), 10.0, (60, 60)) is not frame


# The cloud


def test_every_fix_is_a_dot_or_counted_as_outside() -> None:
    samples = [SiteSample(0.0, 0.0, 0.0, None), SiteSample(1.0, 5.0, 0.0, None), SiteSample(2.0, 500.0, 0.0, None)]
    raster = ScatterRaster()
    grid = raster.bring(SampleView(samples, 3), ScatterFrame((0.0, 0.0), 0.25, DOTS), (60, 30))
    text = "".join(grid.row_text(y, BRAILLE) for y in range(30))
    assert sum(bin(ord(char) - 0x2800).count("1") for char in text if char != " ") == 2
    assert raster.beyond == 1


def test_what_is_drawn_bit_by_bit_is_what_is_drawn_at_once() -> None:
    samples = cloud(900)
    frame = ScatterFrame((0.0, 0.0), 0.06, DOTS)
    bitwise, at_once = ScatterRaster(), ScatterRaster()
    for count in (1, 2, 50, 51, 400):
        bitwise.bring(SampleView(samples, count), frame, (60, 30))
    grid = bitwise.bring(SampleView(samples, 900), frame, (60, 30))
    whole = at_once.bring(SampleView(samples, 900), frame, (60, 30))
    assert rows(grid) == rows(whole)
    assert bitwise.beyond == at_once.beyond


def test_a_thinned_list_is_drawn_anew() -> None:
    samples = cloud(900)
    frame = ScatterFrame((0.0, 0.0), 0.06, DOTS)
    raster, fresh = ScatterRaster(), ScatterRaster()
    raster.bring(SampleView(samples, 900), frame, (60, 30))
    halved = SampleView(samples[::2], 450)
    assert rows(raster.bring(halved, frame, (60, 30))) == rows(fresh.bring(halved, frame, (60, 30)))


def test_the_cost_of_drawing_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """Counted in dots, not in seconds: four hours at 10 Hz are no more of them than one and a half at 1 Hz."""
    dots: list[float] = []
    monkeypatch.setattr(Grid, "dot", lambda _, x, y, ink: dots.append(x))
    few = cloud(1000)
    many = few * 144
    raster = ScatterRaster()
    frame = ScatterFrame((0.0, 0.0), 0.5, DOTS)
    raster.bring(SampleView(many, len(many)), frame, (60, 30))
    assert 0 < len(dots) <= MOST_DRAWN
    dots.clear()
    raster.bring(SampleView(many, len(many)), frame, (60, 30))
    assert not dots


# Rings


@pytest.mark.parametrize("radius", [3.0, 10.0, 24.0, 55.0])
def test_a_ring_is_round_and_closed(radius: float) -> None:
    grid = Grid(*SIZE)
    draw_ring(grid, Ellipse((59.5, 59.5), radius, radius, 0.0), Ink.TEXT)
    at = [(x, y) for y in range(120) for x in range(120) if is_set(grid, x, y)]
    distances = [math.dist(one, (59.5, 59.5)) for one in at]
    assert max(abs(one - radius) for one in distances) <= 0.8
    bearings = sorted(math.atan2(x - 59.5, y - 59.5) for x, y in at)
    widest = max(b - a for a, b in zip(bearings, [*bearings[1:], bearings[0] + 2 * math.pi], strict=True))
    assert widest * radius < 3.0


def is_set(grid: Grid, x: int, y: int) -> bool:
    bits = {0: 0x01, 1: 0x08, 2: 0x02, 3: 0x10, 4: 0x04, 5: 0x20, 6: 0x40, 7: 0x80}  # Unicode, section 21.1
    char = grid.row_text(y // 4, BRAILLE)[x // 2]
    return "\u2800" < char <= "\u28ff" and bool(ord(char) - 0x2800 & bits[(y % 4) * 2 + x % 2])


def test_a_ring_is_seen_over_the_densest_cloud_in_all_characters() -> None:
    for glyphs in GLYPH_SETS:
        grid = Grid(*SIZE)
        for x in range(120):
            for y in range(120):
                grid.dot(x, y, Ink.TRAIL)
        before = rows(grid, glyphs)
        draw_ring(grid, Ellipse((60.0, 60.0), 40.0, 40.0, 0.0), Ink.TEXT)
        changed = [
            a != b
            for before_row, row in zip(before, rows(grid, glyphs), strict=True)
            for a, b in zip(before_row, row, strict=True)
        ]
        assert sum(changed) > 40, glyphs


@pytest.mark.parametrize(
    ("sigmas", "rho", "angle_deg"),
    [((3.0, 1.0), 0.0, 90.0), ((1.0, 3.0), 0.0, 0.0), ((2.0, 2.0), 0.9, 45.0), ((2.0, 2.0), -0.9, 135.0)],
)
def test_the_ellipse_holds_95_percent_and_lies_along_the_cloud(
    sigmas: tuple[float, float], rho: float, angle_deg: float
) -> None:
    samples = cloud(20_000, sigmas, rho=rho)
    spread = average(samples).spread
    assert spread
    ellipse = ellipse_95(spread, (0.0, 0.0), 1.0)
    assert abs((ellipse.angle_deg - angle_deg + 90) % 180 - 90) < 2.0
    angle = math.radians(ellipse.angle_deg)
    inside = 0
    for _, east, north, _ in samples:
        along, across = (
            north * math.cos(angle) + east * math.sin(angle),
            east * math.cos(angle) - north * math.sin(angle),
        )
        inside += math.hypot(along / ellipse.major, across / ellipse.minor) <= 1
    assert abs(inside / len(samples) - 0.95) < 0.015  # outliers may have been left out of the sigmas


# The whole


def test_the_rings_the_mean_and_the_scale_are_named() -> None:
    text = "\n".join(rows(drawn(view(cloud(500)), (100, 45))))
    for words in ("50 %", "95 %", "+", "O", "N", "E", "+ mean  O newest  x left out"):
        assert words in text
    assert " m" in text.splitlines()[-1]


def test_the_scale_is_as_long_as_it_says() -> None:
    memory = ScatterMemory()
    last = rows(drawn(view(cloud(500)), (100, 45), memory))[-1]
    assert memory.frame
    cells = len(last.split("m")[0].rstrip("0123456789. ").strip())
    figure, unit = last.split()[1:3]
    metres = float(figure) * {"m": 1.0, "cm": 0.01}[unit]
    assert abs(cells * 2 * memory.frame.metres_per_dot - metres) <= 3 * memory.frame.metres_per_dot


def test_an_outlier_has_another_shape_at_its_place_or_at_the_edge() -> None:
    samples = [*cloud(400), SiteSample(400.0, 80.0, 0.0, None), *cloud(5, seed=2)]
    samples = [one._replace(t_s=float(n)) for n, one in enumerate(samples)]
    assert 400 in average(samples).outliers
    grid = drawn(view(samples))
    marked = [row for row in rows(grid)[:-1] if row.rstrip().endswith(("x", "xE"))]
    assert len(marked) == 1, "east, at the right edge"


def test_a_mark_near_by_is_named_and_one_far_off_is_at_the_edge() -> None:
    near = "\n".join(rows(drawn(view(cloud(400), mark=(1.0, 1.0), mark_name="Pillar 7"))))
    assert "Pillar 7" in near
    far = rows(drawn(view(cloud(400), mark=(0.0, 5000.0), mark_name="Pillar 7")))
    assert "^" in far[0]
    assert "Pillar 7" not in "\n".join(far)


def test_a_hostile_name_stays_inside_its_cells() -> None:
    grid = drawn(view(cloud(400), mark=(1.0, 1.0), mark_name="\x1b[2J\u202epillar" * 20))
    assert all(len(row) == SIZE[0] for row in rows(grid))
    assert not any("\x1b" in row or "\u202e" in row for row in rows(grid))


@pytest.mark.parametrize("size", [(1, 1), (15, 30), (60, 5), (16, 6), (200, 60), (20, 60), (200, 7)])
def test_every_size_is_drawn(size: tuple[int, int]) -> None:
    for samples in (cloud(1), cloud(2), cloud(400)):
        grid = drawn(view(samples), size)
        assert (grid.width, grid.height) == size


def test_fixes_that_are_all_one_have_a_picture() -> None:
    grid = drawn(view([SiteSample(float(n), 1.0, 2.0, 3.0) for n in range(50)]))
    assert "+" in "".join(rows(grid))


def test_nothing_yet_says_how_to_begin() -> None:
    assert "S begins one" in " ".join(" ".join(rows(drawn(ScatterView()))).split())
