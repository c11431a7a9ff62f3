"""The large page: everything is said at every size, nothing covers anything, and the kite points."""

from __future__ import annotations

from itertools import product
from math import atan2, degrees, hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.app import App, ComposeResult

from core.model import Snapshot
from tests.tui.support import ISLE, board_state
from tui.canvas.digits import Size, extent, put_large
from tui.canvas.glyphs import BRAILLE, GLYPH_SETS, PLAIN
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.palettes import Depth, palette_for
from tui.panes.goto import CAUTION
from tui.panes.large import NOT_CURRENT, LargePane, LargeView, draw_large
from tui.panes.large_view import large_view

PALETTE = palette_for("dark", Depth.TRUECOLOR)
SIZES = [(40, 12), (47, 15), (60, 20), (60, 40), (80, 24), (100, 30), (120, 40), (140, 24), (200, 60)]
VIEW = LargeView("1.56", "km", "65 right", "", 65.0, "course-up", "Isle of Quennet", "Gull rock", label="REPLAY")
WALK = VIEW._replace(turn="", turn_words="walk 20 m straight: 12 m so far", kite_deg=312.0, up_name="north-up")
ARRIVED = VIEW._replace(distance="12", distance_unit="m", banner="ARRIVED: within 24 m of the car")
each_size = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")


def grid_of(view: LargeView, size: tuple[int, int] = (80, 24)) -> Grid:
    grid = Grid(*size)
    draw_large(grid, view)
    return grid


def drawn(view: LargeView, size: tuple[int, int] = (80, 24), glyphs: str = "braille") -> list[str]:
    grid = grid_of(view, size)
    return [grid.row_text(y, GLYPH_SETS[glyphs]) for y in range(size[1])]


def colours(view: LargeView, ink: Ink, size: tuple[int, int] = (80, 24)) -> dict[tuple[int, int], str]:
    """Cells that are not blank, in an ink."""
    grid, wanted = grid_of(view, size), PALETTE.style(ink).color
    found: dict[tuple[int, int], str] = {}
    for y in range(grid.height):
        cells = [(char, style) for text, style, _ in grid.strip(y, PALETTE, BRAILLE) for char in text]
        found |= {
            (x, y): char for x, (char, style) in enumerate(cells) if style and style.color == wanted and char != " "
        }
    return found


def holds(view: LargeView, text: str, size: tuple[int, int], sizes: tuple[Size, ...] = tuple(Size)) -> bool:
    """Whether a text stands somewhere, whole and uncovered, in one of these sizes."""
    rows = drawn(view, size, "plain")
    return any(_stands(rows, text, one) for one in sizes)


def _stands(rows: list[str], text: str, size: Size) -> bool:
    stamp = Grid(*extent(text, size))
    put_large(stamp, (0, 0), Span(text), size)
    wanted = [stamp.row_text(y, PLAIN) for y in range(stamp.height)]
    places = product(range(len(rows) - len(wanted) + 1), range(len(rows[0])))
    return any(all(rows[y + n][x:].startswith(line) for n, line in enumerate(wanted)) for y, x in places)


@each_size
def test_distance_turn_and_unit_are_whole(size: tuple[int, int]) -> None:
    for text in ("1.56", "km", "65", "right"):
        assert holds(VIEW, text, size), text


@pytest.mark.parametrize(
    ("size", "least"),
    [
        ((40, 12), Size.SMALL),
        ((60, 20), Size.SMALL),
        ((80, 24), Size.LARGE),
        ((120, 40), Size.LARGE),
        ((200, 60), Size.HUGE),
    ],
)
def test_the_distance_is_large(size: tuple[int, int], least: Size) -> None:
    for distance in ("1.56", "999", "12", "8"):
        assert holds(VIEW._replace(distance=distance), distance, size, (least,)), distance
    if least > Size.SMALL:
        assert holds(VIEW, "65", size, (least,))
        assert holds(VIEW._replace(turn="120 left"), "120", size, (least,))


def test_one_more_figure_does_not_change_the_size() -> None:
    for size in SIZES[2:]:
        sizes = {
            holds(VIEW._replace(turn=f"{turn} left"), f"{turn}", size, (Size.HUGE, Size.LARGE))
            for turn in (9, 10, 99, 100)
        }
        assert len(sizes) == 1, size


@each_size
@pytest.mark.parametrize(
    "view", [VIEW, WALK, ARRIVED, VIEW._replace(stale=True)], ids=["turn", "walk", "arrived", "stale"]
)
def test_the_caution_source_and_target_are_always_there(view: LargeView, size: tuple[int, int]) -> None:
    rows = drawn(view, size)
    assert " ".join(" ".join(rows[-3:]).split()).endswith(CAUTION)
    assert rows[0].startswith(" REPLAY  Isle of Quennet")
    assert (NOT_CURRENT in rows[0]) is view.stale
    if view.banner:
        assert rows[1].strip() == view.banner


@each_size
def test_words_in_the_place_of_a_turn(size: tuple[int, int]) -> None:
    text = " ".join(row[: size[0] // 2] if size != (60, 40) else row for row in drawn(WALK, size))
    assert "walk 20 m straight:" in " ".join(text.split())
    assert "far" in text


@each_size
def test_what_comes_next_where_there_is_room(size: tuple[int, int]) -> None:
    said = any(row.strip() == "then Gull rock" for row in drawn(VIEW, size))
    assert said is (size[1] > 12)


def test_straight_on_is_said_in_words() -> None:
    assert holds(VIEW._replace(turn="straight on"), "straight on", (80, 24), (Size.TEXT,))
    assert holds(VIEW._replace(turn="65° right"), "65°", (80, 24), (Size.LARGE,))


# The kite


def kite(angle: float, size: tuple[int, int], *, stale: bool = False) -> dict[tuple[int, int], str]:
    """Its cells: only these are in the ink of the target, besides the name in the first row."""
    view = LargeView(target="", distance="1", kite_deg=angle, up_name="", stale=stale)
    found = colours(view, Ink.STALE if stale else Ink.TARGET, size)
    return {at: char for at, char in found.items() if at[1] and ord(char) > 0x2500 and at[0] >= size[0] // 2 - 1}


def measured(cells: dict[tuple[int, int], str]) -> tuple[float, float, float]:
    """The angle from the notch to the tip, and the extent in dots across and down."""
    dots = [(2 * x + 0.5, 4 * y + 1.5) for x, y in cells]
    (left, right), (top, bottom) = ((min(axis), max(axis)) for axis in zip(*dots, strict=True))
    mx, my = sum(x for x, _ in dots) / len(dots), sum(y for _, y in dots) / len(dots)
    tip = max(dots, key=lambda dot: hypot(dot[0] - mx, dot[1] - my))
    return degrees(atan2(tip[0] - mx, my - tip[1])) % 360, right - left, bottom - top


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
@pytest.mark.parametrize("angle", [0, 45, 65, 120, 180, 250, 312])
def test_it_points_to_the_target(angle: int, size: tuple[int, int]) -> None:
    found, _, _ = measured(kite(angle, size))
    assert abs((found - angle + 180) % 360 - 180) < 9


def test_it_takes_about_half_of_a_small_screen() -> None:
    _, across, _ = measured(kite(90, (80, 24)))
    _, _, down = measured(kite(0, (80, 24)))
    assert across > 80 * 2 * 0.3
    assert down > 24 * 4 * 0.5


def test_an_old_one_is_hollow_and_grey() -> None:
    solid, hollow = kite(65, (80, 24)), kite(65, (80, 24), stale=True)
    assert "█" in solid.values()
    assert "█" not in hollow.values()
    assert len(hollow) < len(solid)


@pytest.mark.parametrize("unknown", [None, float("nan"), float("inf")])
def test_no_direction_is_said(unknown: float | None) -> None:
    assert holds(VIEW._replace(kite_deg=unknown), "no direction", (80, 24), (Size.TEXT,))


def test_what_is_up_stands_at_the_top() -> None:
    upper = drawn(VIEW)[1:4]
    assert any("course-up" in row for row in upper)
    north = drawn(WALK)
    assert any("N" in row[40:] for row in north[1:4])
    assert all(letter in "".join(row[40:] for row in north[1:-1]) for letter in "NESW")


# What may go wrong


def test_nothing_is_bright_when_it_is_stale() -> None:
    view = ARRIVED._replace(stale=True)
    assert colours(view, Ink.STALE)
    assert not any(colours(view, ink) for ink in (Ink.TEXT, Ink.TARGET, Ink.GOOD, Ink.NORTH))


def test_without_anything_known_a_dash_and_the_reason() -> None:
    rows = drawn(LargeView(turn_words="no position: no guidance"))
    assert rows[0].strip() == "no target"
    assert any("no position: no guidance" in row for row in rows)
    assert holds(LargeView(), "-", (80, 24), (Size.LARGE,))


def test_an_empty_caution_is_not_obeyed() -> None:
    assert CAUTION in drawn(VIEW._replace(caution="  "))[-1]


@each_size
def test_hostile_names_stay_in_their_rows(size: tuple[int, int]) -> None:
    name = "\x1b[2J日本\n\u202e" + "x" * 400
    view = ARRIVED._replace(target=name, then=name, banner=name, turn_words=name, label="REPLAY", up_name=name)
    rows = drawn(view, size)
    assert {len(row) for row in rows} == {size[0]}
    assert "\x1b" not in "".join(rows)
    assert "\u202e" not in "".join(rows)
    assert holds(view, "12", size)
    assert " ".join(" ".join(rows[-3:]).split()).endswith(CAUTION)


texts = st.text(max_size=30)


@settings(max_examples=80)
@given(st.tuples(st.integers(0, 130), st.integers(0, 45)), st.tuples(*[texts] * 9), st.one_of(st.none(), st.floats()))
def test_anything_at_any_size(size: tuple[int, int], words: tuple[str, ...], angle: float | None) -> None:
    distance, unit, turn, instead, up, target, then, banner, label = words
    view = LargeView(distance, unit, turn, instead, angle, up, target, then, banner, label=label)
    assert [len(row) for row in drawn(view, size)] == [size[0]] * size[1]


@pytest.mark.parametrize("glyphs", ["plain", "quadrant"])
def test_every_glyph_set(glyphs: str) -> None:
    text = "".join(drawn(VIEW, (80, 24), glyphs))
    assert not set(text) & {chr(code) for code in range(0x2801, 0x2900)}
    assert glyphs != "plain" or text.isascii()


async def test_the_pane_shows_what_is_new() -> None:
    class Bench(App[None]):
        def compose(self) -> ComposeResult:
            yield LargePane()

    async with Bench().run_test(size=(80, 24)) as pilot:
        pane = pilot.app.query_one(LargePane)
        pane.show(VIEW)
        await pilot.pause()
        assert "Isle of Quennet" in pane.render_line(0).text
        pane.show(VIEW._replace(target="Gull rock"))
        await pilot.pause()
        assert "Gull rock" in pane.render_line(0).text


def test_a_target_without_a_position_keeps_its_name() -> None:
    rows = drawn(large_view(board_state(Snapshot(), target=ISLE)))
    assert ISLE.name in rows[0]
    assert "no target" not in rows[0]
