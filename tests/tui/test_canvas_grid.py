"""The grid: what is drawn where, and what may not be."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.glyphs import BRAILLE, GLYPH_SETS, PLAIN, QUADRANT, glyphs_for
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import SIGNAL_INKS, Ink, Paper, signal_step
from tui.canvas.palettes import Depth, palette_for
from tui.canvas.rows import PUSH, put_row

PALETTE = palette_for("dark", Depth.TRUECOLOR)
HOSTILE = (
    "\x1b[31m\x9b2J\r\n\t\x00\u202eabc\u2066\u65e5\u672c"
    "\U0001f469\u200d\U0001f467\u00e9\U0001f1eb\U0001f1f7\u05e9\u05dc\u00ad\u200b"
)


def rows(grid: Grid) -> list[str]:
    return [grid.row_text(y, BRAILLE) for y in range(grid.height)]


def looks(grid: Grid, y: int) -> list[tuple[str, str | None, str | None]]:
    """Each run of a row: text, foreground, background."""
    return [
        (text, style.color and style.color.name, style.bgcolor and style.bgcolor.name)
        for text, style, _ in grid.strip(y, PALETTE, BRAILLE)
        if style is not None
    ]


def test_a_dot_sets_one_dot_of_the_braille_cell() -> None:
    found = {}
    for x, y in product(range(2), range(4)):
        grid = Grid(1, 1)
        grid.dot(x, y, Ink.FAINT)
        found[x, y] = ord(grid.row_text(0, BRAILLE)) - 0x2800
    # Dots 1, 2, 3, 7 down the left column and 4, 5, 6, 8 down the right (The Unicode Standard, section 21.1).
    assert found == {
        (0, 0): 0x01,
        (0, 1): 0x02,
        (0, 2): 0x04,
        (0, 3): 0x40,
        (1, 0): 0x08,
        (1, 1): 0x10,
        (1, 2): 0x20,
        (1, 3): 0x80,
    }


def test_dots_outside_are_dropped() -> None:
    grid = Grid(3, 2)
    for x, y in ((-1, 0), (0, -1), (6, 0), (0, 8), (-0.6, 0), (0, -0.6), (5.6, 7.6)):
        grid.dot(x, y, Ink.FAINT)
    assert rows(grid) == ["   ", "   "]


def test_dots_neither_replace_nor_recolour_text() -> None:
    grid = Grid(5, 1)
    grid.text(1, 0, "G05", Ink.TEXT)
    before = grid.row_key(0)
    for x in range(2, 8):
        for y in range(4):
            grid.dot(x, y, Ink.ALERT)
    grid.stamp(1, 0, 0xFF, Ink.ALERT)
    grid.polygon([(2, 0), (7.4, 0), (7.4, 3), (2, 3)], Ink.ALERT)
    assert grid.row_key(0) == before


def test_a_written_blank_is_text() -> None:
    grid = Grid(2, 1)
    grid.text(0, 0, " ")
    grid.line((0, 0), (3, 0), Ink.FAINT)
    assert grid.row_text(0, BRAILLE)[0] == " "
    assert grid.row_text(0, BRAILLE)[1] != " "


@pytest.mark.parametrize(("x", "shown"), [(-2, "C   "), (0, "ABC "), (2, "  AB"), (4, "    "), (-3, "    ")])
def test_text_is_clipped_on_both_sides(x: int, shown: str) -> None:
    grid = Grid(4, 1)
    assert grid.text(x, 0, "ABC") == x + 3
    assert grid.row_text(0, BRAILLE) == shown


def test_text_above_and_below_the_grid_is_dropped() -> None:
    grid = Grid(3, 1)
    grid.text(0, -1, "ABC")
    grid.text(0, 1, "ABC")
    assert rows(grid) == ["   "]


def test_a_polygon_covers_its_area() -> None:
    grid = Grid(10, 5)
    grid.polygon([(4, 4), (11.5, 4), (11.5, 11.5), (4, 11.5)], Ink.TARGET)
    assert rows(grid) == [" " * 10, "  ████    ", "  ████    ", " " * 10, " " * 10]


def test_a_polygon_reaching_outside_is_clipped() -> None:
    grid = Grid(3, 2)
    grid.polygon([(-50, -50), (60, -50), (60, 70), (-50, 70)], Ink.TARGET)
    assert rows(grid) == ["███", "███"]


def test_a_filled_shape_hides_lines_and_is_not_frayed_by_them() -> None:
    plain, crossed = Grid(6, 3), Grid(6, 3)
    square = [(2, 2), (9, 2), (9, 9), (2, 9)]
    plain.polygon(square, Ink.TARGET)
    crossed.line((0, 3), (11, 3), Ink.FAINT)
    crossed.polygon(square, Ink.TARGET)
    crossed.line((2, 0), (9, 9), Ink.FAINT)
    assert rows(crossed)[1][1:5] == rows(plain)[1][1:5]
    assert looks(crossed, 1) == looks(plain, 1)


def test_a_hollow_shape_clears_what_is_inside_it() -> None:
    grid = Grid(8, 4)
    grid.line((0, 7), (15, 7), Ink.FAINT)
    grid.hollow([(3, 1), (12, 1), (12, 14), (3, 14)], Ink.HEADING)
    alone = Grid(8, 4)
    alone.hollow([(3, 1), (12, 1), (12, 14), (3, 14)], Ink.HEADING)
    assert rows(grid)[1][2:6] == rows(alone)[1][2:6]
    assert rows(grid)[1][0] != " "


def test_a_ring_is_alike_in_all_four_quarters() -> None:
    grid = Grid(20, 10)
    grid.circle((19.5, 19.5), 17, Ink.FAINT)
    dots = {(x, y) for x, y in product(range(40), range(40)) if _is_set(grid, x, y)}
    assert dots == {(39 - x, y) for x, y in dots} == {(x, 39 - y) for x, y in dots}
    assert all(16 <= ((x - 19.5) ** 2 + (y - 19.5) ** 2) ** 0.5 <= 18 for x, y in dots)
    # Without a gap: every dot has two neighbours, corners counted.
    assert all(sum((x + a, y + b) in dots for a, b in product((-1, 0, 1), repeat=2)) >= 3 for x, y in dots)


def _is_set(grid: Grid, x: int, y: int) -> bool:
    bits = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
    char = grid.row_text(y // 4, BRAILLE)[x // 2]
    return char != " " and bool(ord(char) - 0x2800 & bits[y % 4][x % 2])


def test_a_disc_lies_under_what_is_drawn() -> None:
    grid = Grid(9, 5)
    grid.text(4, 2, "x")
    grid.disc((8.5, 9.5), 6, Paper.ZONE_HIGH)
    base, zone = "#0b1018", "#18212f"
    assert [(text, paper) for text, _, paper in looks(grid, 2)] == [(" ", base), ("   x   ", zone), (" ", base)]
    assert [paper for _, _, paper in looks(grid, 0)] == [base]


def test_equal_neighbours_join_and_blanks_take_the_style_that_is_there() -> None:
    grid = Grid(12, 1)
    grid.text(2, 0, "ab", Ink.TEXT)
    grid.text(6, 0, "cd", Ink.TEXT)
    grid.text(9, 0, "e", Ink.ALERT)
    strip = grid.strip(0, PALETTE, BRAILLE)
    assert [text for text, _, _ in strip] == ["  ab  cd ", "e  "]
    assert strip.cell_length == 12


def test_a_grid_without_cells_is_drawn_on_in_vain() -> None:
    for size in ((0, 0), (0, 3), (-2, 4)):
        grid = Grid(*size)
        grid.text(0, 0, "abc")
        grid.circle((0, 0), 5, Ink.FAINT)
        grid.polygon([(0, 0), (5, 0), (0, 5)], Ink.FAINT)
        grid.disc((0, 0), 5, Paper.PANEL)
        assert grid.width == 0
    assert Grid(0, 3).strip(0, PALETTE, BRAILLE).cell_length == 0


def test_row_keys_tell_looks_apart() -> None:
    def key(*spans: Span) -> object:
        grid = Grid(6, 1)
        x = 0
        for span in spans:
            x = grid.put(x, 0, span)
        return grid.row_key(0)

    keys = [
        key(Span("ab")),
        key(Span("ac")),
        key(Span("ab", Ink.ALERT)),
        key(Span("ab", bold=True)),
        key(Span("ab", paper=Paper.PANEL)),
        key(Span(" ab")),
    ]
    assert len(set(keys)) == len(keys)
    assert key(Span("ab")) == keys[0]
    assert key(Span("a"), Span("b")) == keys[0]


def test_row_keys_tell_dots_and_solid_dots_apart() -> None:
    line, solid = Grid(1, 1), Grid(1, 1)
    for y in range(4):
        line.line((0, y), (1, y), Ink.TARGET)
    solid.polygon([(-1, -1), (3, -1), (3, 5), (-1, 5)], Ink.TARGET)
    assert line.row_key(0) != solid.row_key(0)


def test_a_background_of_another_size_is_refused() -> None:
    with pytest.raises(ValueError, match="3x2 background does not fit 2x3"):
        Grid(2, 3).copy_from(Grid(3, 2))


def test_a_copy_is_independent_of_its_background() -> None:
    base, copy = Grid(4, 1), Grid(4, 1)
    base.text(0, 0, "base")
    copy.copy_from(base)
    assert copy.row_key(0) == base.row_key(0)
    copy.text(0, 0, "copy")
    assert base.row_text(0, BRAILLE) == "base"


def test_a_head_goes_on_top() -> None:
    head, body = Grid(3, 1), Grid(3, 2)
    head.text(0, 0, "abc")
    body.text(0, 1, "xyz")
    assert rows(body.below(head)) == ["abc", "   ", "xyz"]


# Hostile text


@given(st.text(max_size=60))
def test_any_text_becomes_one_cell_a_character(text: str) -> None:
    clean = one_cell_each(text)
    assert cell_len(clean) == len(clean)
    assert clean.isprintable()
    assert not any("\u0590" <= char <= "\u08ff" for char in clean)


def test_escapes_reordering_and_wide_characters_are_replaced() -> None:
    clean = one_cell_each(HOSTILE)
    assert set(clean) <= set("?[]0123456789;mJabc é")
    assert "abc" in clean
    assert "é" in clean


def test_ordinary_names_and_signs_are_left_alone() -> None:
    for text in ("Gull rock", "Čížov", "Øre", "65° right", "2′ 30″", "Ωmega", "−12.5 m", "Жук"):
        assert one_cell_each(text) == text
    assert one_cell_each("e\u0301") == "é"


@given(st.text(max_size=30), st.integers(-5, 25))
def test_text_never_reaches_cells_beyond_its_own(text: str, x: int) -> None:
    grid = Grid(20, 1)
    grid.text(18, 0, "|")
    grid.text(x, 0, text)
    assert len(grid.row_text(0, BRAILLE)) == 20
    assert grid.strip(0, PALETTE, BRAILLE).cell_length == cell_len(grid.row_text(0, BRAILLE)) == 20


@pytest.mark.parametrize(("width", "shown"), [(9, "Gull rock"), (6, "Gull ~"), (1, "~"), (0, ""), (-3, "")])
def test_a_text_that_does_not_fit_is_cut_with_a_mark(width: int, shown: str) -> None:
    assert fitted("Gull rock", width) == shown


# Rows of spans


def test_spans_after_a_push_stand_at_the_right() -> None:
    grid = Grid(16, 1)
    put_row(grid, 0, (Span("left"), PUSH, Span("12"), Span(" m")))
    assert grid.row_text(0, BRAILLE) == " left      12 m "


def test_the_right_part_survives_when_there_is_no_room_for_both() -> None:
    grid = Grid(12, 1)
    put_row(grid, 0, (Span("a long label"), PUSH, Span("12 m")))
    assert grid.row_text(0, BRAILLE) == " a lo~ 12 m "


def test_an_empty_span_pushes_nothing() -> None:
    grid = Grid(14, 1)
    put_row(grid, 0, (Span("".join([])), Span("x")))
    assert grid.row_text(0, BRAILLE).rstrip() == " x"


# Glyphs


def test_every_set_has_a_one_cell_character_for_every_mask() -> None:
    for glyphs in GLYPH_SETS.values():
        for table in (glyphs.lines, glyphs.fills):
            assert len(table) == 256
            assert table[0] == " "
            assert all(len(char) == cell_len(char) == 1 for char in table)
            assert " " not in table[1:]


def test_the_plain_set_is_ascii_and_the_quadrant_set_has_no_braille() -> None:
    assert all(char.isascii() for char in PLAIN.lines + PLAIN.fills)
    assert not any(0x2800 <= ord(char) <= 0x28FF for char in QUADRANT.lines + QUADRANT.fills)


def test_plain_characters_resemble_their_dots() -> None:
    one = {"-": 0x0C, "_": 0xC0, "|": 0xAA, "#": 0xFF, "=": 0x3C}
    assert {char: PLAIN.lines[mask] for char, mask in one.items()} == {char: char for char in one}


def test_glyph_sets_are_found_by_name() -> None:
    assert glyphs_for("braille") is BRAILLE
    with pytest.raises(KeyError):
        glyphs_for("sixel")


@pytest.mark.parametrize(
    ("cno", "step"),
    [
        (None, 0),
        (0, 0),
        (-3, 0),
        (1, 1),
        (24, 1),
        (25, 2),
        (34, 2),
        (35, 3),
        (39, 3),
        (40, 4),
        (44, 4),
        (45, 5),
        (99, 5),
    ],
)
def test_signal_steps(cno: int | None, step: int) -> None:
    assert signal_step(cno) == step
    assert SIGNAL_INKS[step].name == f"SIGNAL_{step}"
