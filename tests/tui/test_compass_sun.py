"""The sun and the leg on the compass: where they are drawn, how they are said, and when there is no sun."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import atan2, degrees, hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tui.support import ISLE, Epoch, board_state, played, walked
from tui.canvas.glyphs import BRAILLE, GLYPH_SETS
from tui.canvas.grid import Grid
from tui.canvas.inks import Ink
from tui.canvas.palettes import Depth, palette_for
from tui.panes.bound import compass_view
from tui.panes.compass import ROWS_FOR_BAR, CompassView, draw_compass

PALETTE = palette_for("dark", Depth.TRUECOLOR)
SIZE = (62, 31)
MIDDLE, RADIUS = (61.5, 59.5), 56.0
"""Dots: the last row is for words."""
BLANK = CompassView(up_name="")
FULL = CompassView(0.0, "north-up", 247.0, True, 250.0, 312.0, "Gull rock", "1.84 km", "65° right", sun_deg=142.0)


def drawn(view: CompassView, size: tuple[int, int] = SIZE, glyphs: str = "braille") -> list[str]:
    grid = Grid(*size)
    draw_compass(grid, view)
    return [grid.row_text(y, GLYPH_SETS[glyphs]) for y in range(size[1])]


def new_cells(view: CompassView, sun_deg: float, size: tuple[int, int] = SIZE) -> list[tuple[int, int]]:
    """Every cell without text that differs with the sun; in its corner no dots were."""
    without, both = drawn(view, size), drawn(view._replace(sun_deg=sun_deg), size)
    cells = product(range(size[0]), range(size[1]))
    return [(x, y) for x, y in cells if without[y][x] != both[y][x] and ord(both[y][x]) > 0x2000]


@pytest.mark.parametrize("up", [0, 200])
@pytest.mark.parametrize("sun", [0, 45, 142, 270, 301])
def test_the_sun_stands_on_the_rim_in_its_direction(sun: int, up: int) -> None:
    cells = new_cells(BLANK._replace(up_deg=float(up)), float(sun))
    dx = sum(2 * x + 0.5 for x, _ in cells) / len(cells) - MIDDLE[0]
    dy = sum(4 * y + 1.5 for _, y in cells) / len(cells) - MIDDLE[1]
    off = (degrees(atan2(dx, -dy)) - (sun - up) + 180) % 360 - 180
    assert abs(off) < 3
    assert abs(hypot(dx, dy) - RADIUS) < 4


def dots(size: tuple[int, int], view: CompassView) -> set[tuple[int, int]]:
    """Every dot of a drawing."""
    bits = (0, 1, 2, 6, 3, 4, 5, 7)
    found = set()
    for y, row in enumerate(drawn(view, size)):
        for x, char in enumerate(row):
            mask = ord(char) - 0x2800
            if 0 < mask < 256:
                found |= {(2 * x + n // 4, 4 * y + n % 4) for n, bit in enumerate(bits) if mask >> bit & 1}
    return found


def test_the_sun_is_an_even_ring_with_a_dot_in_it() -> None:
    """At the east the rim runs straight through it, and is cleared inside it."""
    found = dots(SIZE, BLANK._replace(sun_deg=90.0))
    x, y = round(MIDDLE[0] + RADIUS), round(MIDDLE[1])
    inside = {(dx, dy) for dx, dy in product(range(-3, 4), repeat=2) if (x + dx, y + dy) in found}
    ring = {
        (dx, dy) for dx, dy in product(range(-3, 4), repeat=2) if 3 <= hypot(dx, dy) < 3.2 or abs(dx) == abs(dy) == 2
    }
    assert inside == ring | {(0, 0)}


def test_a_small_rose_has_it_inside_the_rim_clear_of_the_letters() -> None:
    for sun in (0.0, 90.0, 180.0, 270.0):
        text = "".join(drawn(BLANK._replace(sun_deg=sun), (20, 9)))
        assert all(letter in text for letter in "NESW")
        assert len(new_cells(BLANK, sun, (20, 9))) >= 3


@pytest.mark.parametrize("glyphs", GLYPH_SETS)
def test_it_is_no_other_shape(glyphs: str) -> None:
    """The same bearing as course, heading, target and sun: four drawings that differ in more than colour."""
    views = [
        BLANK._replace(course_deg=135.0),
        BLANK._replace(heading_deg=135.0),
        BLANK._replace(target_bearing_deg=135.0),
        BLANK._replace(sun_deg=135.0),
    ]
    assert len({"\n".join(row[14:48] for row in drawn(view, SIZE, glyphs)) for view in views}) == 4


@pytest.mark.parametrize(
    ("view", "row", "side"),
    [
        (FULL._replace(heading_deg=None), -1, "left"),
        (FULL._replace(target_distance="", turn=""), -1, "right"),
        (FULL._replace(target_bearing_deg=None), 1, "right"),
    ],
)
def test_the_sun_is_said_in_a_corner_that_is_free(view: CompassView, row: int, side: str) -> None:
    rows = drawn(view)
    label, value = (rows[row + offset].strip() for offset in (-1, 0))
    found = (label.startswith("sun"), value.startswith("142° true"))
    assert (found if side == "left" else (label.endswith("sun"), value.endswith("142° true"))) == (True, True)


def test_without_a_free_corner_the_mark_has_to_do() -> None:
    assert "142" not in "".join(drawn(FULL))
    assert new_cells(FULL._replace(sun_deg=None), 142.0)


def test_around_a_narrow_rose() -> None:
    one = CompassView(0.0, "north-up", 247.0, sun_deg=142.0)
    assert drawn(one, (24, 9))[-1].strip().startswith("sun 142° true")
    aimed = one._replace(target_bearing_deg=312.0)
    assert drawn(aimed, (34, 14))[0].rstrip().endswith("sun 142° true")
    assert drawn(aimed, (30, 14))[0].rstrip().endswith("north-up")
    assert drawn(aimed._replace(heading_deg=12.0), (36, 14))[0].rstrip().endswith("heading 012° true")


def test_a_stale_picture_has_a_grey_sun() -> None:
    grid = Grid(*SIZE)
    draw_compass(grid, BLANK._replace(sun_deg=142.0, stale=True))
    bright = PALETTE.style(Ink.TEXT).color
    loud = "".join(
        text
        for y in range(SIZE[1])
        for text, style, _ in grid.strip(y, PALETTE, BRAILLE)
        if style and style.color == bright
    )
    assert set(loud.replace(" ", "")) == set("ESW")


# The leg


def test_the_bar_stands_in_the_last_row_and_the_rose_above_it() -> None:
    rows = drawn(FULL._replace(cross_track_m=-12.0))
    assert rows[-1].rstrip().endswith("12 m left of the leg")
    assert rows[:-1] == drawn(FULL, (SIZE[0], SIZE[1] - 1))


@pytest.mark.parametrize("cross_track_m", [None, float("nan")])
def test_no_leg_no_bar(cross_track_m: float | None) -> None:
    assert drawn(FULL._replace(cross_track_m=cross_track_m)) == drawn(FULL)


def test_a_low_pane_keeps_its_rows_for_the_rose() -> None:
    leg = FULL._replace(cross_track_m=12.0)
    assert drawn(leg, (40, ROWS_FOR_BAR - 1)) == drawn(FULL, (40, ROWS_FOR_BAR - 1))
    assert "of leg" in drawn(leg, (40, ROWS_FOR_BAR))[-1]


angles = st.one_of(st.none(), st.floats(-720, 720))


@settings(max_examples=60)
@given(st.integers(0, 70), st.integers(0, 30), st.tuples(angles, angles, angles))
def test_any_size_can_be_drawn(width: int, height: int, values: tuple[float | None, ...]) -> None:
    sun, track, shown = values
    grid = Grid(width, height)
    draw_compass(grid, FULL._replace(sun_deg=sun, cross_track_m=track), shown)
    assert [len(grid.row_text(y, BRAILLE)) for y in range(height)] == [width] * height


# From the state


def at(place: str, second: float, day: str = "210631") -> CompassView:
    epochs = (Epoch(second=second + n, place=place, day=day) for n in range(3))
    return compass_view(board_state(played(*epochs), target=ISLE))


@pytest.mark.parametrize(("place", "azimuth"), [("5000.0000,N,00000.0000,W", 180), ("5000.0000,S,00000.0000,W", 0)])
def test_at_noon_it_stands_in_the_south_of_the_north_and_in_the_north_of_the_south(place: str, azimuth: int) -> None:
    """At Greenwich's meridian noon is within three minutes of 12:00 UTC on 21 June (equation of time -1.8 min)."""
    sun = at(place, 0.0).sun_deg
    assert sun is not None
    assert abs((sun - azimuth + 180) % 360 - 180) < 3


def test_at_night_there_is_no_sun() -> None:
    assert at("5000.0000,N,00000.0000,W", -43_000.0).sun_deg is None


def test_the_polar_night_has_no_noon_sun_and_the_polar_day_one_at_midnight() -> None:
    assert at("8000.0000,N,00000.0000,W", 0.0, "211231").sun_deg is None
    midnight = at("8000.0000,N,00000.0000,W", -43_000.0).sun_deg
    assert midnight is not None
    assert min(midnight, 360 - midnight) < 5


def test_without_a_date_a_place_or_a_year_that_is_known_there_is_no_sun() -> None:
    assert at("5000.0000,N,00000.0000,W", 0.0, "").sun_deg is None
    state = board_state(walked(3, Epoch()))
    assert compass_view(state).sun_deg is not None
    assert compass_view(replace(state, now_s=state.now_s + 60)).sun_deg is None


def test_no_state_has_a_leg_yet() -> None:
    assert compass_view(board_state(target=ISLE)).cross_track_m is None
