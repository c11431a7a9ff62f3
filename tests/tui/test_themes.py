"""Textual's themes: the palettes' own colours, and red at night whatever Textual blends."""

from __future__ import annotations

import pytest
from textual.app import App, ComposeResult
from textual.color import Color
from textual.widgets import Footer, Input

from tui.canvas.colours import Scheme
from tui.canvas.inks import Ink, Paper
from tui.canvas.palettes import THEMES, Depth, scheme_for
from tui.themes import palette_name, theme_for, theme_name


def variables(name: str, depth: Depth) -> dict[str, str]:
    theme = theme_for(name, depth)
    return theme.to_color_system().generate() | theme.variables


@pytest.mark.parametrize("depth", Depth)
def test_all_names_are_there_at_every_depth(depth: Depth) -> None:
    names = [theme_for(name, depth).name for name in THEMES]
    assert names == ["fixboard-dark", "fixboard-daylight", "fixboard-night", "fixboard-ansi"]
    assert [palette_name(name) for name in names] == list(THEMES)


def test_a_theme_that_is_not_ours_gets_the_dark_palette() -> None:
    assert palette_name("textual-light") == "dark"
    assert palette_name("fixboard-sepia") == "dark"
    assert palette_name("night") == "dark"


@pytest.mark.parametrize("depth", [Depth.TRUECOLOR, Depth.COLOURS_256])
@pytest.mark.parametrize("name", ["dark", "daylight", "night"])
def test_widgets_get_the_palette_s_colours(name: str, depth: Depth) -> None:
    scheme, css = scheme_for(name, depth), variables(name, depth)
    assert isinstance(scheme, Scheme)
    expected = {
        "background": scheme.papers[Paper.BASE],
        "surface": scheme.papers[Paper.BASE],
        "panel": scheme.papers[Paper.PANEL],
        "text": scheme.inks[Ink.TEXT],
        "text-muted": scheme.inks[Ink.MUTED],
        "footer-key-foreground": scheme.inks[Ink.ACCENT],
    }
    assert {key: Color.parse(css[key]).hex.lower() for key in expected} == expected


@pytest.mark.parametrize("depth", [Depth.TRUECOLOR, Depth.COLOURS_256])
def test_every_shade_of_the_night_is_red(depth: Depth) -> None:
    for name, value in variables("night", depth).items():
        assert not value.startswith("auto"), name
        if value.startswith("#"):
            red, green, blue = Color.parse(value).rgb
            assert (green <= 0.3 * red, blue <= 0.25 * red) == (True, True), name


def test_the_night_in_sixteen_colours_is_red_and_black() -> None:
    named = {
        word for value in variables("night", Depth.COLOURS_16).values() for word in value.split() if "ansi" in word
    }
    assert named == {"ansi_red", "ansi_black"}


@pytest.mark.parametrize(("name", "depth"), [(n, d) for n in THEMES for d in Depth])
async def test_an_app_can_wear_every_theme(name: str, depth: Depth) -> None:
    class Wearer(App[None]):
        def compose(self) -> ComposeResult:
            yield Input("47.3")
            yield Footer()

    app = Wearer()
    async with app.run_test(size=(40, 6)) as pilot:
        for one in THEMES:
            app.register_theme(theme_for(one, depth))
        app.theme = theme_name(name)
        await pilot.pause()
        assert app.native_ansi_color is (name == "ansi" or depth in {Depth.NONE, Depth.COLOURS_16})
