"""Large figures: that each can be told from the others, where they stand, and what is used where there is no room."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.canvas.digits import Size, extent, is_drawn, put_large, size_for
from tui.canvas.glyphs import BRAILLE, GLYPH_SETS, PLAIN
from tui.canvas.grid import Grid, Span

ALL = "0123456789.,:-+/°efghiklmnrt"
DRAWN = (Size.SMALL, Size.LARGE, Size.HUGE)


def written(text: str, size: Size, glyphs: str = "braille", at: tuple[int, int] = (0, 0)) -> list[str]:
    wide, high = extent(text, size)
    grid = Grid(wide + at[0], high + at[1])
    put_large(grid, at, Span(text), size)
    return [grid.row_text(y, GLYPH_SETS[glyphs]) for y in range(grid.height)]


def test_a_figure_in_whole_cells() -> None:
    assert written("2", Size.LARGE, "plain") == [
        "  ######  ",
        "##      ##",
        "        ##",
        "      ##  ",
        "    ##    ",
        "  ##      ",
        "##########",
    ]


def test_a_figure_in_half_cells_stands_at_the_bottom() -> None:
    assert written("2", Size.SMALL) == [" ▄▄▄ ", "▀   █", "  ▄▀ ", "▄█▄▄▄"]


def test_the_largest_is_the_second_twice_as_large() -> None:
    for char in ALL:
        rows = written(char, Size.LARGE, "plain")
        twice = ["".join(cell * 2 for cell in row) for row in rows for _ in range(2)]
        assert written(char, Size.HUGE, "plain") == twice


@pytest.mark.parametrize("size", DRAWN)
@pytest.mark.parametrize("glyphs", GLYPH_SETS)
def test_no_two_characters_look_alike(glyphs: str, size: Size) -> None:
    for one, other in combinations(ALL, 2):
        assert written(one, size, glyphs) != written(other, size, glyphs), one + other


@pytest.mark.parametrize("size", DRAWN)
def test_plain_characters_are_ascii(size: Size) -> None:
    assert "".join(written(ALL, size, "plain")).isascii()


@pytest.mark.parametrize("size", DRAWN)
def test_all_figures_are_of_one_width(size: Size) -> None:
    assert len({extent(figure, size) for figure in "0123456789"}) == 1


def test_a_blank_keeps_characters_apart() -> None:
    rows = written("1 1", Size.LARGE, "plain")
    assert [row[10:18] for row in rows] == [" " * 8] * 7


def test_the_column_after_a_text_counts_what_was_clipped() -> None:
    grid = Grid(4, 2)
    assert put_large(grid, (1, 0), Span("12"), Size.SMALL) == 1 + extent("12", Size.SMALL)[0] == 12
    assert put_large(grid, (-30, -5), Span("12"), Size.LARGE) == -8


def test_dots_stay_inside_their_cells() -> None:
    for size in DRAWN:
        rows = written("8", size, at=(3, 2))
        assert all(not row[:3].strip() for row in rows)
        assert not "".join(rows[:2]).strip()
        assert rows[-1].strip()


@pytest.mark.parametrize(
    ("room", "size"),
    [
        ((44, 14), Size.HUGE),
        ((43, 14), Size.LARGE),
        ((44, 13), Size.LARGE),
        ((22, 7), Size.LARGE),
        ((21, 7), Size.SMALL),
        ((22, 6), Size.SMALL),
        ((11, 4), Size.SMALL),
        ((10, 4), Size.TEXT),
        ((11, 3), Size.TEXT),
        ((0, 0), Size.TEXT),
    ],
)
def test_the_largest_that_fits(room: tuple[int, int], size: Size) -> None:
    """Two figures are 11 dots of the face wide and 7 high."""
    assert size_for("12", *room) is size


@pytest.mark.parametrize("text", ["12 Q", "\x1b[2J", "日本", "straight on"])
def test_what_the_face_lacks_is_bold_text_at_any_size(text: str) -> None:
    assert not is_drawn(text)
    assert size_for(text, 500, 50) is Size.TEXT
    grid = Grid(30, 7)
    end = put_large(grid, (1, 3), Span(text), Size.LARGE)
    row = grid.row_text(3, PLAIN)
    assert end == 1 + extent(text, Size.LARGE)[0]
    assert "\x1b" not in row
    assert len(row.strip()) == len(text.strip())


@given(st.text(max_size=12), st.sampled_from(Size), st.tuples(st.integers(-40, 40), st.integers(-20, 20)))
def test_any_text_anywhere(text: str, size: Size, at: tuple[int, int]) -> None:
    grid = Grid(20, 6)
    assert put_large(grid, at, Span(text), size) == at[0] + extent(text, size)[0]
    assert [len(grid.row_text(y, BRAILLE)) for y in range(6)] == [20] * 6
