"""The bar that shows how far beside the leg you are."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.units import METRIC
from tui.canvas.glyphs import BRAILLE, GLYPH_SETS
from tui.canvas.grid import Grid
from tui.panes.track_bar import ON_LEG_M, leg_words, scale_for, scales_in, write_track_bar


def bar(cross_track_m: float | None, width: int = 60, glyphs: str = "plain") -> str:
    grid = Grid(width, 1)
    write_track_bar(grid, 0, cross_track_m)
    return grid.row_text(0, GLYPH_SETS[glyphs])


def line_of(row: str) -> str:
    """The bar alone."""
    (found,) = re.findall("[|#<>][|#<>-]+", row)
    return str(found)


def test_you_are_a_block_and_the_leg_a_tick() -> None:
    assert bar(12.0) == " 25 m |-----------|-----#-----| 25 m  12 m right of the leg "
    assert bar(-12.0) == " 25 m |-----#-----|-----------| 25 m  12 m left of the leg  "


def test_a_block_in_the_richer_glyph_sets() -> None:
    for glyphs in ("braille", "quadrant"):
        assert bar(12.0, glyphs=glyphs) == bar(12.0).replace("#", "█")


@pytest.mark.parametrize(
    ("cross_track_m", "words"),
    [
        (0.0, "on the leg"),
        (-1.9, "on the leg"),
        (2.0, "2 m right of the leg"),
        (-380.0, "380 m left of the leg"),
        (1840.0, "1.84 km right of the leg"),
    ],
)
def test_words(cross_track_m: float, words: str) -> None:
    assert leg_words(cross_track_m) == words
    assert words in bar(cross_track_m)


@pytest.mark.parametrize(
    ("cross_track_m", "words"),
    [
        (0, "10 m"),
        (10, "10 m"),
        (-10.1, "25 m"),
        (99, "100 m"),
        (101, "250 m"),
        (-999, "1 km"),
        (4999, "5 km"),
        (25000, "25 km"),
        (26000, "25 km"),
    ],
)
def test_the_smallest_scale_that_holds_it(cross_track_m: float, words: str) -> None:
    assert scale_for(cross_track_m)[1] == words
    assert re.match(f" {words} [|#<>-]", bar(cross_track_m))


@pytest.mark.parametrize(("cross_track_m", "end"), [(40_000.0, ">"), (-40_000.0, "<")])
def test_off_the_scale_an_arrow_at_the_end_and_no_block(cross_track_m: float, end: str) -> None:
    row = bar(cross_track_m)
    assert row.count(end) == 1
    assert line_of(row)[-1 if end == ">" else 0] == end
    assert "#" not in row
    assert "40.00 km" in row


@pytest.mark.parametrize(("cross_track_m", "at"), [(0.0, 0.0), (10.0, 1.0), (-10.0, -1.0), (5.0, 0.5)])
def test_the_block_stands_in_proportion(cross_track_m: float, at: float) -> None:
    line = line_of(bar(cross_track_m, 120))
    middle = len(line) // 2
    assert len(line) > 60
    assert len(line) == 2 * middle + 1
    assert line.index("#") - middle == pytest.approx(at * middle, abs=0.5)


def test_the_least_distance_off_the_leg_is_never_on_the_tick() -> None:
    scales = scales_in(METRIC)
    lower = [ON_LEG_M, *(reach for reach, _ in scales[:-1])]
    for least, (reach, _) in zip(lower, scales, strict=True):
        assert least / reach >= 0.2
        row = bar(least + 0.01, 42)
        assert row.count("|") == 3, row


@pytest.mark.parametrize(
    ("width", "expected"),
    [
        (42, "100 m |----|-#--|  40 m right of the leg"),
        (38, "100 m |----|-#--|  40 m right of leg"),
        (36, "|------|--#---|  40 m right of leg"),
        (24, "40 m right of leg"),
        (12, "40 m righ~"),
    ],
)
def test_what_gives_way(width: int, expected: str) -> None:
    """First the second scale, then words, then the first scale, at last the bar; never which side it is of what."""
    assert bar(40.0, width).strip() == expected


@pytest.mark.parametrize("unknown", [None, float("nan"), float("inf")])
def test_unknown_is_nothing(unknown: float | None) -> None:
    assert bar(unknown).strip() == ""


@given(st.floats(allow_nan=False, allow_infinity=False), st.integers(0, 130))
def test_any_distance_and_width(cross_track_m: float, width: int) -> None:
    assert len(bar(cross_track_m, width)) == width


@given(st.floats(-25_000, 25_000), st.integers(40, 130))
def test_words_are_whole_and_clear_of_the_bar(cross_track_m: float, width: int) -> None:
    grid = Grid(width, 1)
    write_track_bar(grid, 0, cross_track_m)
    row = grid.row_text(0, BRAILLE)
    words = leg_words(cross_track_m)
    assert row.rstrip().endswith(f"  {words}") or row.rstrip().endswith(f"  {words.replace(' the ', ' ')}")
