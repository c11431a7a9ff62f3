"""What of a row has changed, and how a terminal is told of it in few bytes."""

from __future__ import annotations

import pyte
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.color import ColorSystem
from rich.segment import Segment
from textual.color import TRANSPARENT
from textual.strip import Strip

from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.palettes import THEMES, Depth, Palette, palette_for
from tui.canvas.pen import PLAIN, RESET, Pen
from tui.canvas.row_look import FEW, RowLook
from tui.canvas.rows import PUSH, Row, RowsPane

SYSTEMS = {
    Depth.TRUECOLOR: ColorSystem.TRUECOLOR,
    Depth.COLOURS_256: ColorSystem.EIGHT_BIT,
    Depth.COLOURS_16: ColorSystem.STANDARD,
    Depth.NONE: ColorSystem.STANDARD,
}


def row(*spans: Span, width: int = 20) -> RowLook:
    grid, x = Grid(width, 1), 0
    for span in spans:
        x = grid.put(x, 0, span)
    return grid.look(0, BRAILLE)


@pytest.mark.parametrize(
    ("after", "before", "changed"),
    [
        ((Span("12.5 m"),), (Span("12.5 m"),), []),
        ((Span("12.6 m"),), (Span("12.5 m"),), [(3, 4)]),
        ((Span("12.5 m", Ink.STALE),), (Span("12.5 m"),), [(0, 6)]),
        ((Span("a    b", Ink.STALE),), (Span("a    b"),), [(0, 6)]),
        ((Span("a" + " " * (FEW + 1) + "b", Ink.STALE),), (Span("a" + " " * (FEW + 1) + "b"),), [(0, 1), (6, 7)]),
        ((Span("  ", Ink.STALE, bold=True),), (Span("  "),), []),
        ((Span("  ", paper=Paper.PANEL),), (Span("  "),), [(0, 2)]),
        ((Span("ab", bold=True),), (Span("ab"),), [(0, 2)]),
        ((Span("ab"),), (Span("abcd"),), [(2, 4)]),
    ],
)
def test_what_looks_different(
    after: tuple[Span, ...], before: tuple[Span, ...], changed: list[tuple[int, int]]
) -> None:
    assert row(*after).changed(row(*before)) == changed


def test_a_line_that_becomes_an_area_changes_by_its_characters_alone() -> None:
    line, area = Grid(1, 1), Grid(1, 1)
    line.stamp(0, 0, 0xFF, Ink.TARGET)
    area.polygon([(-1, -1), (3, -1), (3, 5), (-1, 5)], Ink.TARGET)
    assert line.look(0, BRAILLE).text != area.look(0, BRAILLE).text
    assert area.look(0, BRAILLE).changed(line.look(0, BRAILLE)) == [(0, 1)]


spans = st.builds(
    Span,
    st.sampled_from(["x", "12.5 m", " ", "   ", "ab  c"]),
    st.sampled_from(list(Ink)),
    st.booleans(),
    st.sampled_from([None, *Paper]),
)
rows = st.lists(spans, max_size=6).map(lambda found: row(*found))
palettes = st.tuples(st.sampled_from(THEMES), st.sampled_from(list(SYSTEMS)))


def screen_of(text: str) -> list[tuple[object, ...]]:
    screen = pyte.Screen(20, 1)
    pyte.Stream(screen).feed(text)
    return [_seen(screen.buffer[0][x]) for x in range(20)]


def _seen(char: pyte.screens.Char) -> tuple[object, ...]:
    weight = (char.fg, char.bold) if char.data != " " or char.reverse else ()
    return char.data, char.bg, char.reverse, weight


def by_textual(look: RowLook, palette: Palette, system: ColorSystem) -> str:
    return "".join(
        Strip.render_style(segment.style, segment.text, system)
        for segment in (Segment(text, palette.keyed(key)) for text, key in look.runs(0, 20))
        if segment.style is not None
    )


def by_pen(look: RowLook, pen: Pen, stretches: list[tuple[int, int]]) -> str:
    text, style = "", PLAIN
    for start, end in stretches:
        text += f"\x1b[1;{start + 1}H"
        for words, key in look.runs(start, end):
            text += pen.change(style, key) + words
            style = key
    return text + RESET


@given(rows, rows, palettes)
def test_changed_cells_alone_make_the_new_row_of_the_old(
    before: RowLook, after: RowLook, chosen: tuple[str, Depth]
) -> None:
    theme, depth = chosen
    palette, system = palette_for(theme, depth), SYSTEMS[depth]
    pen = Pen(palette, system, (), TRANSPARENT)
    changes = by_pen(after, pen, after.changed(before))
    assert screen_of(by_textual(before, palette, system) + changes) == screen_of(by_textual(after, palette, system))


def test_a_pen_says_only_what_differs() -> None:
    palette = palette_for("dark", Depth.TRUECOLOR)
    pen = Pen(palette, ColorSystem.TRUECOLOR, (), TRANSPARENT)
    text, muted, on_panel = int(Ink.TEXT), int(Ink.MUTED), Ink.TEXT | Paper.PANEL << 8
    assert pen.change(text, text) == ""
    assert pen.change(text, muted).startswith("\x1b[38;2;")
    assert "48;2" not in pen.change(text, muted)
    assert pen.change(text, on_panel).startswith("\x1b[48;2;")
    assert pen.change(text, text | 0x80) == "\x1b[1m"
    assert pen.change(text | 0x80, text) == "\x1b[22m"


class Words(RowsPane):
    """Counts how often a row is written anew."""

    def __init__(self, *found: Row | str) -> None:
        super().__init__()
        self.found = found

    def rows(self, width: int, height: int) -> tuple[Row | str, ...]:
        return self.found

    def text(self, width: int = 12) -> list[str]:
        grid = Grid(width, 3)
        self.paint(grid)
        return [grid.row_text(y, BRAILLE) for y in range(3)]


def test_rows_that_stayed_look_as_before_and_others_as_they_are() -> None:
    pane = Words((Span("speed"), PUSH, Span("1")), "two", "three")
    assert pane.text() == [" speed    1 ", " two        ", " three      "]
    pane.found = ((Span("speed"), PUSH, Span("1")), "TWO")
    assert pane.text() == [" speed    1 ", " TWO        ", "            "]
    assert pane.text(width=14) == [" speed      1 ", " TWO          ", " " * 14]


def test_an_empty_span_is_not_taken_for_the_push_that_it_equals() -> None:
    pane = Words((Span("a"), PUSH, Span("b")))
    assert pane.text()[0] == " a        b "
    pane.found = ((Span("a"), Span(""), Span("b")),)
    assert pane.text()[0] == " ab         "
