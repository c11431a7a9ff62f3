"""Palettes: every role in every one, legible, and red at night."""

from __future__ import annotations

from itertools import product

import pytest
from rich.color import Color, ColorSystem

from tui.canvas.colours import Scheme
from tui.canvas.inks import PILL_PAPERS, SIGNAL_INKS, Ink, Paper
from tui.canvas.palettes import THEMES, Depth, depth_of, palette_for, scheme_for

COLOURED = list(product(("dark", "daylight", "night"), (Depth.TRUECOLOR, Depth.COLOURS_256)))
EVERY = list(product(THEMES, Depth))

TINTS = (Paper.BASE, Paper.ZONE_LOW, Paper.ZONE_MID, Paper.ZONE_HIGH)
BANNERS = (Paper.BANNER_LIVE, Paper.BANNER_REPLAY, Paper.BANNER_HELD, Paper.BANNER_ALERT)
# FAINT is for lines, never for text; PILL and BANNER have papers of their own.
TEXT_INKS = [ink for ink in Ink if ink not in {Ink.FAINT, Ink.PILL, Ink.BANNER}]
ON_PANELS = (Ink.TEXT, Ink.MUTED, Ink.TITLE, Ink.WARN, Ink.ALERT, Ink.ACCENT, Ink.GOOD)


def coloured(theme: str, depth: Depth) -> Scheme:
    scheme = scheme_for(theme, depth)
    assert isinstance(scheme, Scheme)
    return scheme


def channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.1 defines it (w3.org/TR/WCAG21, "relative luminance")."""
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in (n / 255 for n in channels(colour))]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """WCAG 2.1's contrast ratio, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def needed(theme: str) -> float:
    # 4.5 for text, 3 for large text (success criterion 1.4.3): night may not be brighter, see its table.
    return 3.0 if theme == "night" else 4.5


def test_the_contrast_formula_knows_its_ends() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == 1
    # Published example of a grey that just passes on white: w3.org/TR/WCAG20-TECHS/G18 (from memory).
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize(("theme", "depth"), COLOURED)
def test_text_is_legible_on_every_paper_it_lies_on(theme: str, depth: Depth) -> None:
    scheme = coloured(theme, depth)
    pairs: list[tuple[Ink, Paper]] = [(ink, paper) for ink in TEXT_INKS for paper in TINTS]
    pairs += [(ink, Paper.PANEL) for ink in ON_PANELS]
    pairs += [(Ink.BANNER, paper) for paper in BANNERS]
    pairs += [(Ink.TEXT, Paper.SELECTED), (Ink.PILL, Paper.PILL_0)]
    # Of 256 colours there is no red between black and 5f: there a mark and bold words show what is chosen.
    if (theme, depth) != ("night", Depth.COLOURS_256):
        pairs += [(ink, Paper.SELECTED) for ink in ON_PANELS]
    poor = {(i.name, p.name): contrast(scheme.inks[i], scheme.papers[p]) for i, p in pairs}
    assert {pair: ratio for pair, ratio in poor.items() if ratio < needed(theme)} == {}


@pytest.mark.parametrize(("theme", "depth"), COLOURED)
def test_names_on_pills_are_legible(theme: str, depth: Depth) -> None:
    scheme = coloured(theme, depth)
    ratios = [contrast(scheme.inks[Ink.PILL], scheme.inks[ink]) for ink in SIGNAL_INKS[1:]]
    assert min(ratios) >= needed(theme)


@pytest.mark.parametrize(("theme", "depth"), COLOURED)
def test_stronger_signals_stand_out_more(theme: str, depth: Depth) -> None:
    scheme = coloured(theme, depth)
    ramp = [contrast(scheme.inks[ink], scheme.papers[Paper.BASE]) for ink in SIGNAL_INKS[1:]]
    assert ramp == sorted(ramp)
    assert len(set(ramp)) == (5 if depth is Depth.TRUECOLOR else len(set(ramp)))
    assert ramp[-1] > ramp[0] * 1.3


@pytest.mark.parametrize("depth", [Depth.TRUECOLOR, Depth.COLOURS_256])
def test_night_is_red_and_nothing_else(depth: Depth) -> None:
    scheme = coloured("night", depth)
    for colour in (*scheme.inks.values(), *scheme.papers.values()):
        red, green, blue = channels(colour)
        assert green <= 0.3 * red
        assert blue <= 0.25 * red


def test_night_in_sixteen_colours_names_red_and_black_alone() -> None:
    palette = palette_for("night", Depth.COLOURS_16)
    styles = [palette.style(ink, paper) for ink, paper in product(Ink, Paper)]
    assert {style.color.name for style in styles if style.color} == {"red", "black"}
    assert {style.bgcolor.name for style in styles if style.bgcolor} == {"red", "black"}
    assert all(style.color and style.bgcolor and style.color != style.bgcolor for style in styles)


@pytest.mark.parametrize("theme", ["dark", "daylight", "night"])
def test_256_colours_are_shown_as_they_are_meant(theme: str) -> None:
    scheme = coloured(theme, Depth.COLOURS_256)
    for colour in (*scheme.inks.values(), *scheme.papers.values()):
        assert Color.parse(colour).downgrade(ColorSystem.EIGHT_BIT).get_truecolor().hex == colour


@pytest.mark.parametrize("theme", ["dark", "daylight", "night"])
def test_256_colours_have_no_zone_tints(theme: str) -> None:
    papers = coloured(theme, Depth.COLOURS_256).papers
    assert {papers[paper] for paper in TINTS} == {papers[Paper.BASE]}


@pytest.mark.parametrize(("theme", "depth"), EVERY)
def test_every_role_has_a_style_in_every_palette(theme: str, depth: Depth) -> None:
    palette = palette_for(theme, depth)
    for ink, paper, bold in product(Ink, Paper, (False, True)):
        style = palette.style(ink, paper, bold=bold)
        assert style is palette.style(ink, paper, bold=bold)
        assert bold <= bool(style.bold) or paper in PILL_PAPERS


@pytest.mark.parametrize("theme", THEMES)
def test_without_colours_no_colour_is_named(theme: str) -> None:
    palette = palette_for(theme, Depth.NONE)
    styles = [palette.style(ink, paper) for ink, paper in product(Ink, Paper)]
    assert all(style.color is None and style.bgcolor is None for style in styles)


@pytest.mark.parametrize("depth", [Depth.NONE, Depth.COLOURS_16])
def test_what_matters_differs_without_colour_values(depth: Depth) -> None:
    palette = palette_for("ansi", depth)
    assert palette.style(Ink.PILL, Paper.PILL_3).reverse
    assert not palette.style(Ink.PILL, Paper.PILL_3).dim
    assert palette.style(Ink.BANNER, Paper.BANNER_REPLAY).reverse
    assert palette.style(Ink.STALE).dim
    assert palette.style(Ink.ALERT).bold
    assert not palette.style(Ink.TEXT).dim


def test_inks_never_reverse() -> None:
    # A blank joins the run to its left: a reversed ink would smear over it.
    for theme, depth in EVERY:
        assert not any(palette_for(theme, depth).style(ink).reverse for ink in Ink)


@pytest.mark.parametrize(
    ("system", "no_color", "depth"),
    [
        ("truecolor", False, Depth.TRUECOLOR),
        ("256", False, Depth.COLOURS_256),
        ("standard", False, Depth.COLOURS_16),
        ("windows", False, Depth.COLOURS_16),
        ("something new", False, Depth.COLOURS_16),
        (None, False, Depth.NONE),
        ("truecolor", True, Depth.NONE),
    ],
)
def test_depths(system: str | None, no_color: bool, depth: Depth) -> None:
    assert depth_of(system, no_color=no_color) is depth


def test_an_unknown_theme_is_refused() -> None:
    with pytest.raises(KeyError):
        palette_for("sepia", Depth.NONE)
    assert palette_for("dark", Depth.TRUECOLOR) is palette_for("dark", Depth.TRUECOLOR)


def test_inks_fit_into_six_bits_and_papers_into_a_byte() -> None:
    assert max(Ink) < 0x40
    assert max(Paper) < 0x100
