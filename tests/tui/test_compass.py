"""The compass: where its marks point, and what it says beside them."""

from __future__ import annotations

from math import atan2, degrees, hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Grid
from tui.canvas.inks import Ink
from tui.canvas.palettes import Depth, palette_for
from tui.panes.compass import CompassView, draw_compass
from tui.panes.compass_words import true_bearing

PALETTE = palette_for("dark", Depth.TRUECOLOR)
SIZE = (62, 31)
MIDDLE = (61.5, 59.5)
"""Dots: the last row is for words."""


def drawn(view: CompassView, size: tuple[int, int] = SIZE) -> list[str]:
    grid = Grid(*size)
    draw_compass(grid, view)
    return [grid.row_text(y, BRAILLE) for y in range(size[1])]


def cells(view: CompassView, ink: Ink, size: tuple[int, int] = SIZE) -> dict[tuple[int, int], str]:
    """Every drawn cell of an ink that is no letter or figure, by column and row."""
    grid = Grid(*size)
    draw_compass(grid, view)
    wanted, found = PALETTE.style(ink).color, {}
    for y in range(grid.height):
        x = 0
        for text, style, _ in grid.strip(y, PALETTE, BRAILLE):
            for char in text:
                if style is not None and style.color == wanted and ord(char) >= 0x2580:
                    found[x, y] = char
                x += 1
    return found


def direction(cell: tuple[int, int]) -> tuple[float, float]:
    """Angle clockwise from the top, and distance in dots, of a cell's middle."""
    dx, dy = 2 * cell[0] + 0.5 - MIDDLE[0], 4 * cell[1] + 1.5 - MIDDLE[1]
    return degrees(atan2(dx, -dy)) % 360, hypot(dx, dy)


def between(one: float, other: float) -> float:
    return abs((one - other + 180) % 360 - 180)


def farthest(found: dict[tuple[int, int], str], chars: str) -> tuple[float, float]:
    return max((direction(cell) for cell, char in found.items() if char in chars), key=lambda polar: polar[1])


BLOCKS = "▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"


@pytest.mark.parametrize("up", [0, 90, 247, 359])
@pytest.mark.parametrize("bearing", [0, 45, 100, 180, 233, 312])
def test_the_kite_s_tip_points_to_the_target(bearing: int, up: int) -> None:
    view = CompassView(float(up), target_bearing_deg=float(bearing))
    angle, distance = farthest(cells(view, Ink.TARGET), BLOCKS)
    assert between(angle, bearing - up) < 5
    # Inside the ring of figures, and well out from the middle.
    assert 30 < distance < 48


@pytest.mark.parametrize("up", [0, 30, 200])
@pytest.mark.parametrize("course", [0, 77, 180, 247])
def test_the_wedge_stands_on_the_rim_at_the_course(course: int, up: int) -> None:
    angle, distance = farthest(cells(CompassView(float(up), course_deg=float(course)), Ink.COURSE), BLOCKS)
    assert between(angle, course - up) < 4
    assert 54 <= distance <= 63


def test_an_unsure_course_is_hollow_grey_and_said() -> None:
    view = CompassView(course_deg=247.0, course_sure=False)
    assert cells(view, Ink.COURSE) == {}
    assert not set(cells(view, Ink.COURSE_UNSURE).values()) & set(BLOCKS)
    assert any("course unsure" in row for row in drawn(view))


def test_course_and_heading_differ_in_shape() -> None:
    view = CompassView(course_deg=90.0, heading_deg=90.0)
    heading = cells(CompassView(heading_deg=90.0), Ink.HEADING)
    assert heading
    assert not set(heading.values()) & set(BLOCKS)
    assert set(cells(view, Ink.COURSE).values()) & set(BLOCKS)
    angles = [direction(cell)[0] for cell in heading]
    assert max(between(angle, 90) for angle in angles) < 10


def test_every_number_names_its_reference() -> None:
    view = CompassView(0.0, "north-up", 247.0, True, 250.4, 311.6, "Gull rock", "1.84 km", "65° right")
    rows = drawn(view)
    assert rows[0].split("  ")[0].strip() == "course"
    assert rows[0].rstrip().endswith("Gull rock")
    assert rows[1].strip().startswith("247° true")
    assert rows[1].rstrip().endswith("312° true")
    assert rows[-2].strip().startswith("heading")
    assert rows[-2].rstrip().endswith("1.84 km")
    assert rows[-1].split("  ")[0].strip() == "250° true"
    assert "north-up" in rows[-1]
    assert rows[-1].rstrip().endswith("65° right")


@pytest.mark.parametrize(
    ("bearing", "text"),
    [(0, "000° true"), (7.4, "007° true"), (359.4, "359° true"), (359.6, "000° true"), (-1, "359° true")],
)
def test_bearings_have_three_figures(bearing: float, text: str) -> None:
    assert true_bearing(bearing) == text


def test_without_a_course_there_is_no_figure_and_the_reason_stands_there() -> None:
    view = CompassView(note="standing still: no course", target_bearing_deg=180.0)
    text = "\n".join(drawn(view))
    assert "no course" in text.splitlines()[0]
    assert "standing still: no course" in text
    assert "true" not in text.replace("180° true", "")
    assert cells(view, Ink.COURSE) == {}


@pytest.mark.parametrize(("bearing", "above"), [(180.0, True), (0.0, False), (None, False)])
def test_the_reason_keeps_out_of_the_kite_s_way(bearing: float | None, above: bool) -> None:
    rows = drawn(CompassView(note="standing still", target_bearing_deg=bearing))
    assert (next(y for y, row in enumerate(rows) if "standing still" in row) < 15) is above


def test_without_a_target_nothing_is_said_of_one() -> None:
    view = CompassView(course_deg=10.0)
    assert cells(view, Ink.TARGET) == {}
    assert "target" not in "".join(drawn(view))


def test_letters_turn_against_the_top() -> None:
    west_up = drawn(CompassView(up_deg=270.0))
    assert "W" in west_up[2] or "W" in west_up[3]
    row = next(row for row in west_up if "N" in row)
    assert row.index("N") > 40


@pytest.mark.parametrize(("size", "figures"), [((62, 31), True), ((30, 15), False)])
def test_figures_are_dropped_where_they_would_crowd(size: tuple[int, int], figures: bool) -> None:
    assert ("030" in "".join(drawn(CompassView(), size))) is figures


@pytest.mark.parametrize("size", [(20, 9), (24, 9), (26, 13), (39, 19), (60, 10), (100, 50)])
def test_course_target_and_letters_are_there_at_every_useful_size(size: tuple[int, int]) -> None:
    text = "".join(drawn(CompassView(course_deg=247.0, target_bearing_deg=312.0), size))
    assert "247° true" in text
    assert "312° true" in text
    assert all(letter in text for letter in "NESW")


def test_a_row_below_a_small_rose_has_distance_and_turn() -> None:
    view = CompassView(target_bearing_deg=312.0, target_distance="1.84 km", turn="65° right", heading_deg=12.0)
    rows = drawn(view, (30, 12))
    assert rows[-1].split("  ")[0].strip() == "1.84 km"
    assert rows[-1].rstrip().endswith("65° right")
    assert rows[0].rstrip().endswith("heading 012° true")


def test_a_stale_picture_has_no_present_colours() -> None:
    view = CompassView(0.0, "north-up", 247.0, True, 250.0, 312.0, stale=True)
    assert [ink for ink in (Ink.COURSE, Ink.TARGET, Ink.HEADING) if cells(view, ink)] == []
    assert cells(view, Ink.STALE)


def test_a_hostile_name_stays_in_its_corner() -> None:
    name = "\x1b[2J日本" + "x" * 200
    for size in (SIZE, (20, 9)):
        rows = drawn(CompassView(target_bearing_deg=312.0, target_name=name, note="\x07\u202e"), size)
        assert [len(row) for row in rows] == [size[0]] * size[1]
        assert "\x1b" not in "".join(rows)
        assert any("312° true" in row for row in rows)


@pytest.mark.parametrize("course", [0.0, 90.0])
def test_the_name_of_a_mark_is_whole_beside_a_small_rose_whose_top_mark_is_whole_too(course: float) -> None:
    """As on a board of 80x24: 42 columns."""
    named = CompassView(0.0, course_deg=course, target_bearing_deg=213.0, target_name="Mark 1 09:15 UTC")
    assert drawn(named, (42, 18))[0].rstrip().endswith(" Mark 1 09:15 UTC")
    assert cells(named, Ink.COURSE, (42, 18)) == cells(named._replace(target_name="A"), Ink.COURSE, (42, 18))


angles = st.one_of(st.none(), st.floats(-720, 720, allow_nan=False))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 70), st.integers(0, 30), st.tuples(st.floats(-720, 720), angles, angles, angles))
def test_any_size_and_bearing_can_be_drawn(width: int, height: int, bearings: tuple[float, ...]) -> None:
    up, course, heading, target = bearings
    rows = drawn(
        CompassView(up, "course-up", course, True, heading, target, "Gull rock", "9 m", "2° left"), (width, height)
    )
    assert [len(row) for row in rows] == [width] * height
